import { useEffect, useState } from 'preact/hooks'
import type { Unit } from '../server/wording/format.ts'

/**
 * What this browser may remember: the unit (for good) and the typed name and the sound (this tab only).
 * Nothing about amounts or volumes is ever kept.
 */
const CHANGED = 'spargewatch:remembered'

const useRemembered = (where: Storage, key: string): [string, (value: string) => void] => {
  const [value, setValue] = useState(() => read(where, key))
  useEffect(() => {
    const look = () => setValue(read(where, key))
    window.addEventListener(CHANGED, look)
    return () => window.removeEventListener(CHANGED, look)
  }, [where, key])
  return [
    value,
    (next) => {
      write(where, key, next)
      setValue(next)
      window.dispatchEvent(new Event(CHANGED))
    },
  ]
}

export const useUnit = (): [Unit, (unit: Unit) => void] => {
  const [stored, set] = useRemembered(localStorage, 'spargewatch.unit')
  return [stored === 'mg/L' ? 'mg/L' : 'µg/mL', set]
}

export const useTypedName = (): [string, (name: string) => void] =>
  useRemembered(sessionStorage, 'spargewatch.who')

/** Somebody else, or nobody, is at this page now: nothing of the tab before stays. */
export const forgetTab = (): void => {
  write(sessionStorage, 'spargewatch.who', '')
  window.dispatchEvent(new Event(CHANGED))
}

// A browser that forbids storage still shows and enters everything; it only forgets.
const read = (where: Storage, key: string): string => {
  try {
    return where.getItem(key) ?? ''
  } catch {
    return ''
  }
}

const write = (where: Storage, key: string, value: string): void => {
  try {
    where.setItem(key, value)
  } catch {
    /* see `read` */
  }
}
