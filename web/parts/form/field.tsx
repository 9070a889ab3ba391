import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'

export interface FieldProps {
  readonly label: string
  readonly value: string
  readonly onValue: (value: string) => void
  readonly unit?: string
  readonly hint?: string
  readonly kind?: 'text' | 'number'
  readonly required?: boolean
  readonly maxLength?: number
}

interface LabelledProps {
  readonly id: string
  readonly label: string
  readonly required?: boolean | undefined
  readonly hint?: string | undefined
  readonly children: ComponentChildren
}

/** Label above, hint beneath; the field itself has the id and is described by `describedBy`. */
export const Labelled = ({ id, label, required, hint, children }: LabelledProps) => (
  <div class="field">
    <label for={id}>
      {label}
      {required === true && <span class="must"> (needed)</span>}
    </label>
    {children}
    {hint !== undefined && (
      <span class="hint" id={`${id}-hint`}>
        {hint}
      </span>
    )}
  </div>
)

export const describedBy = (id: string, hint: string | undefined): string | undefined =>
  hint === undefined ? undefined : `${id}-hint`

/** One typed value with its label, unit and hint. Numbers may be typed with a point or a comma. */
export const Field = (props: FieldProps) => {
  const { label, value, onValue, unit, hint, kind = 'text', required, maxLength } = props
  const id = useId()
  return (
    <Labelled id={id} label={label} required={required} hint={hint}>
      <span class="field-input">
        <input
          id={id}
          type="text"
          inputMode={kind === 'number' ? 'decimal' : 'text'}
          autocomplete="off"
          required={required === true}
          maxLength={maxLength ?? 80}
          value={value}
          aria-describedby={describedBy(id, hint)}
          onInput={(event) => onValue(event.currentTarget.value)}
        />
        {unit !== undefined && <span class="field-unit">{unit}</span>}
      </span>
    </Labelled>
  )
}

export interface ChoiceProps {
  readonly label: string
  readonly value: string
  readonly onValue: (value: string) => void
  readonly options: readonly (readonly [value: string, text: string])[]
  readonly required?: boolean
  readonly hint?: string
  /** Words for no choice. */
  readonly none?: string
}

/** One of a closed list, none chosen beforehand. */
export const Choice = ({ label, value, onValue, options, required, hint, none }: ChoiceProps) => {
  const id = useId()
  return (
    <Labelled id={id} label={label} required={required} hint={hint}>
      <select
        id={id}
        required={required === true}
        value={value}
        aria-describedby={describedBy(id, hint)}
        onChange={(event) => onValue(event.currentTarget.value)}
      >
        <option value="">{none ?? 'not chosen'}</option>
        {options.map(([option, text]) => (
          <option key={option} value={option}>
            {text}
          </option>
        ))}
      </select>
    </Labelled>
  )
}

export const Fieldset = ({
  legend,
  children,
}: {
  readonly legend: string
  readonly children: ComponentChildren
}) => (
  <fieldset>
    <legend>{legend}</legend>
    {children}
  </fieldset>
)
