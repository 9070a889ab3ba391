import { useId } from 'preact/hooks'
import { describedBy, Labelled } from './field.tsx'

interface TextAreaProps {
  readonly label: string
  readonly value: string
  readonly onValue: (value: string) => void
  readonly rows: number
  readonly hint?: string
}

/** Several lines of text with their label. */
export const TextArea = ({ label, value, onValue, rows, hint }: TextAreaProps) => {
  const id = useId()
  return (
    <Labelled id={id} label={label} hint={hint}>
      <textarea
        id={id}
        rows={rows}
        maxLength={4000}
        value={value}
        aria-describedby={describedBy(id, hint)}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
    </Labelled>
  )
}
