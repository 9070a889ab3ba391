import { useId } from 'preact/hooks'
import { Labelled } from './field.tsx'

interface DayProps {
  readonly label: string
  readonly value: string
  readonly onValue: (value: string) => void
}

/** A day of the calendar, YYYY-MM-DD; empty when none was chosen. */
export const DayField = ({ label, value, onValue }: DayProps) => {
  const id = useId()
  return (
    <Labelled id={id} label={label}>
      <span class="field-input">
        <input id={id} type="date" value={value} onInput={(event) => onValue(event.currentTarget.value)} />
      </span>
    </Labelled>
  )
}
