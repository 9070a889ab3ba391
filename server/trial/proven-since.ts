import type { EntryOf } from '../ledger/entry.ts'
import { decimal } from '../wording/format.ts'
import type { CalibrationState } from './batch-facts.ts'
import type { MemberFacts } from './member-facts.ts'

type Calibration = Pick<EntryOf<'calibration'>, 'happened_at' | 'data'>

const YEAR_MS = 365 * 86_400_000
/** Two standard uncertainties: what lies beyond hardly comes of them. */
const EXPANDED = 2

/**
 * What happened since a trial that puts its prep time in doubt: a year passed since the last batch, or a meter its batches rest
 * on was calibrated anew and moved by more than both calibrations leave open. A new generator, sparger or tube is known to
 * people only and stays with the list. Pure; `calibrations` in any order, of any instrument.
 */
export const provenSince = (
  members: readonly MemberFacts[],
  calibrations: readonly Calibration[],
  nowMs: number,
): string[] => [...yearPassed(members, nowMs), ...movedMeters(members, calibrations)]

const yearPassed = (members: readonly MemberFacts[], nowMs: number): string[] => {
  const last = members
    .map((m) => Date.parse(m.facts.summary.head.opened_at))
    .reduce((a, b) => Math.max(a, b), 0)
  const day = members.find((m) => Date.parse(m.facts.summary.head.opened_at) === last)?.facts.day
  return day !== undefined && nowMs - last > YEAR_MS ? [`the last batch, on ${day}, is over a year old`] : []
}

const movedMeters = (members: readonly MemberFacts[], calibrations: readonly Calibration[]): string[] => {
  const used = new Map<string, CalibrationState>()
  for (const { facts } of members)
    for (const state of facts.calibrations) {
      const there = used.get(state.instrument)
      if (!there || there.at < state.at) used.set(state.instrument, state)
    }
  return [...used.values()].flatMap((state) => {
    const newest = calibrations
      .filter((c) => c.data.channel === 'dissolved-ozone' && c.data.instrument === state.instrument)
      .reduce<Calibration | undefined>((a, b) => (a && a.happened_at >= b.happened_at ? a : b), undefined)
    if (!newest || newest.happened_at <= state.at) return []
    const moved = 100 * Math.abs(newest.data.slope / state.slope - 1)
    const open = EXPANDED * Math.hypot(newest.data.u_slope_percent, state.u_slope_percent)
    return moved > open
      ? [
          `${state.instrument} was calibrated on ${newest.happened_at.slice(0, 10)} and moved by ${decimal(moved, 1)} %, more than the ± ${decimal(open, 1)} % that both calibrations leave open`,
        ]
      : []
  })
}
