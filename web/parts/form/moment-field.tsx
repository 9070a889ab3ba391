import { useId } from 'preact/hooks'
import { describedBy, Labelled } from './field.tsx'

interface MomentProps {
  readonly label: string
  readonly zone: string
  readonly value: string
  readonly onValue: (value: string) => void
  readonly hint?: string
}

/** Date and time by the site's clock, to the second; empty when none was typed. */
export const MomentField = ({ label, zone, value, onValue, hint }: MomentProps) => {
  const id = useId()
  return (
    <Labelled id={id} label={label} hint={hint}>
      <span class="field-input field-moment">
        <input
          id={id}
          type="datetime-local"
          step="1"
          value={value}
          aria-describedby={describedBy(id, hint)}
          onInput={(event) => onValue(event.currentTarget.value)}
        />
        <span class="field-unit">{zone}</span>
      </span>
    </Labelled>
  )
}
