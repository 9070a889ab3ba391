import { at } from '../fit/linear-algebra.ts'
import { potencyAt } from '../fit/saturation-fit.ts'
import type { DecayResult } from './decay-report.ts'
import type { PurgeResult } from './purge-report.ts'
import { estimate } from './quantities.ts'
import type { RiseResult } from './rise-report.ts'

/** A step larger than this asks a question; one known no better than this is not reported. */
const ASKS_FROM = 0.05

/**
 * The decay with the step of the reading at flow-off, as a fraction of the value before: where stirring by bubbles ends,
 * a probe that consumes ozone reads lower, which is not decay. Needs the level on both sides; a purge must have its own.
 */
export const withStep = (
  decay: DecayResult,
  before: RiseResult | PurgeResult | DecayResult | undefined,
): DecayResult => {
  const from = levelBefore(before)
  const { fit, lagFactor, report } = decay
  if (from === undefined || fit === undefined || report.status !== 'fitted' || !decay.phase.startSeen)
    return decay
  const after = at(fit.starts, 0) * lagFactor + fit.floor
  const step = 1 - after / from.value
  const se = (after / from.value) * Math.hypot(from.se / from.value, Math.sqrt(at(fit.covariance, 0)) / after)
  const half = Math.max(from.t, fit.t) * se
  if (half > ASKS_FROM) return decay
  const asks = Math.abs(step) > ASKS_FROM && Math.abs(step) > half
  return {
    ...decay,
    report: {
      ...report,
      step_fraction: estimate({ value: step, se, ci95: [step - half, step + half] }),
      notes: asks
        ? [...report.notes, `reading steps by ${(-100 * step).toFixed(0)} % at flow-off: probe stirred?`]
        : report.notes,
    },
  }
}

const levelBefore = (
  before: RiseResult | PurgeResult | DecayResult | undefined,
): { value: number; se: number; t: number } | undefined => {
  if (before === undefined || before.kind === 'decay') return undefined
  if (before.kind === 'purge') return before.ownEnd
  if (before.fit === undefined) return undefined
  return { ...potencyAt(before.fit, (before.phase.endS - before.phase.startS) / 60), t: before.fit.t }
}
