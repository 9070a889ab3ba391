import type { NewEntry } from '../ledger/ledger.ts'
import type { AlarmChange } from './alarm-board.ts'

const AT_REST: ReadonlySet<string> = new Set(['normal', 'suppressed-by-design'])

/**
 * A change of an alarm as a ledger entry. Undefined for one at rest that the phase of the work suppresses, and back:
 * nobody was told anything, so nothing is recorded.
 */
export const alarmEntry = (change: AlarmChange, at: string, id: string): NewEntry<'alarm'> | undefined => {
  const { bench, batch, from, to, priority, text, by, why, rule, until } = change
  if (AT_REST.has(from) && AT_REST.has(to)) return undefined
  return {
    id,
    happened_at: at,
    entered_at: at,
    bench,
    batch,
    who: by ?? { name: 'Spargewatch', how: 'program' },
    why,
    kind: 'alarm',
    data: { alarm: rule.name, from, to, priority, text, ...(until === null ? {} : { until }) },
  }
}
