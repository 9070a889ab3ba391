import type { ComponentChildren } from 'preact'
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks'
import { useUnit } from '../../remembered.ts'
import type { Route } from '../../route.ts'

interface MoreProps {
  readonly route: Route
  /** The present screen, where it is one of those in here. */
  readonly here: string | undefined
  readonly children: ComponentChildren
}

/** Screens of now and then, and the unit, behind one labelled button. Escape, a tap elsewhere and a new screen close it. */
export const More = ({ route, here, children }: MoreProps) => {
  const [open, setOpen] = useState(false)
  const box = useRef<HTMLDivElement>(null)
  const button = useRef<HTMLButtonElement>(null)
  useEffect(() => setOpen(false), [route])
  useLayoutEffect(() => {
    if (!open) return
    const elsewhere = (event: Event) => {
      if (event.target instanceof Node && box.current?.contains(event.target) !== true) setOpen(false)
    }
    const closeByKey = (event: KeyboardEvent) => {
      if (event.key !== 'Escape') return
      setOpen(false)
      button.current?.focus()
    }
    document.addEventListener('pointerdown', elsewhere)
    document.addEventListener('focusin', elsewhere)
    document.addEventListener('keydown', closeByKey)
    return () => {
      document.removeEventListener('pointerdown', elsewhere)
      document.removeEventListener('focusin', elsewhere)
      document.removeEventListener('keydown', closeByKey)
    }
  }, [open])
  return (
    <div class="more" ref={box}>
      <button
        ref={button}
        type="button"
        class={`more-button${here === undefined ? '' : ' more-here'}`}
        aria-expanded={open}
        aria-controls="more-screens"
        onClick={() => setOpen(!open)}
      >
        More{here !== undefined && <span class="more-word">: {here}</span>}
      </button>
      <div class="more-panel" id="more-screens" hidden={!open}>
        {children}
        <UnitChoice />
      </div>
    </div>
  )
}

const UnitChoice = () => {
  const [unit, setUnit] = useUnit()
  return (
    <label class="unit-choice">
      Unit{' '}
      <select value={unit} onChange={(e) => setUnit(e.currentTarget.value === 'mg/L' ? 'mg/L' : 'µg/mL')}>
        <option>µg/mL</option>
        <option>mg/L</option>
      </select>
    </label>
  )
}
