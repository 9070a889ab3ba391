import type { EntryData } from '../ledger/entry.ts'
import type { CheckInstrument } from '../wire.ts'
import { againstLimit } from './line-from-points.ts'

/** A check as typed, with whether it passed as found and, where it was adjusted, as left. */
export const withOutcome = (data: CheckInstrument['data']): EntryData<'instrument-check'> => {
  const u = Math.hypot(data.u_found ?? 0, data.u_expected ?? 0)
  const of = (shown: number) => againstLimit({ value: shown - data.expected, u }, data.limit)
  return {
    ...data,
    outcome: of(data.found),
    ...(data.left === undefined ? {} : { outcome_left: of(data.left) }),
  }
}
