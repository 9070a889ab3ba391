import { useEffect, useId, useRef } from 'preact/hooks'
import { describedBy, Labelled } from '../form/field.tsx'

interface SecretProps {
  readonly label: string
  readonly value: string
  readonly onValue: (value: string) => void
  readonly hint?: string
  /** New ones are offered to be kept by the browser's own store; current ones are filled in by it. */
  readonly isNew?: boolean
  readonly onEnter?: () => void
  /** The keys go here as soon as it is there. */
  readonly focused?: boolean
}

export const PasswordField = ({ label, value, onValue, hint, isNew, onEnter }: SecretProps) => {
  const id = useId()
  return (
    <Labelled id={id} label={label} hint={hint}>
      <span class="field-input">
        <input
          id={id}
          type="password"
          autocomplete={isNew === true ? 'new-password' : 'current-password'}
          maxLength={200}
          value={value}
          aria-describedby={describedBy(id, hint)}
          onKeyDown={(event) => {
            if (event.key !== 'Enter' || onEnter === undefined) return
            event.preventDefault()
            onEnter()
          }}
          onInput={(event) => onValue(event.currentTarget.value)}
        />
      </span>
    </Labelled>
  )
}

/** Six digits, never shown, never kept by the browser. */
export const PinField = ({ label, value, onValue, hint, focused }: SecretProps) => {
  const id = useId()
  const input = useRef<HTMLInputElement>(null)
  useEffect(() => {
    if (focused === true) input.current?.focus()
  }, [focused])
  return (
    <Labelled id={id} label={label} hint={hint}>
      <span class="field-input">
        <input
          ref={input}
          id={id}
          class="pin"
          type="password"
          inputMode="numeric"
          autocomplete="one-time-code"
          maxLength={6}
          value={value}
          aria-describedby={describedBy(id, hint)}
          onInput={(event) => onValue(event.currentTarget.value.replace(/\D/g, ''))}
        />
      </span>
    </Labelled>
  )
}
