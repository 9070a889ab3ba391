import { fitDecay } from '../fit/decay-fit.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, lagMinutes } from './batch-context.ts'
import { type Headline, type HeadlineDecay, plainHeadline } from './headline-decay.ts'
import type { PhaseReadings } from './phase-readings.ts'

export interface LaggedDecay {
  readonly readings: PhaseReadings
  readonly headline: HeadlineDecay
  /** Minutes after flow-off from which readings count. */
  readonly settledMinutes: number
}

/** Past so many probe time constants the first few are no longer missed. */
const WORTH_IT_FOLDS = 100
/** A decay nearly as quick as the probe cannot be told from the probe. */
const TOLD_APART = 0.2

/**
 * A young decay behind a probe of known response, from one time constant after flow-off: the probe's own transient is
 * fitted beside it, y = A·e^(−k t) + B·e^(−t/τ), where waiting 5τ would give up half of the first minutes. B is free, so
 * that a τ a little off or a late tap at flow-off goes into it and not into k. Undefined where that cannot be done: the
 * decay is then read from 5τ on.
 */
export const decayUnderLag = (
  context: BatchContext,
  phase: Phase,
  settled: { readonly headline: Headline; readonly isStepped: boolean },
  range: readonly [number, number] | undefined,
): LaggedDecay | undefined => {
  const lag = lagMinutes(context.input)
  if (lag === undefined || lag.tau === 0 || !phase.startSeen || settled.isStepped) return undefined
  if (context.input.readingUPercent !== undefined) return undefined
  if ((phase.endS - phase.startS) / 60 > WORTH_IT_FOLDS * lag.tau) return undefined
  if (settled.headline.kind === 'fitted' && !isPlain(settled.headline, lag.tau)) return undefined
  const readings = context.readingsOf(phase, lag.tau)
  const fit = fitDecay({ ...curveData(context.input, readings), order: 1, transient: lag.tau })
  if (fit.kind === 'refused' || fit.rate * lag.tau > TOLD_APART) return undefined
  return { readings, headline: plainHeadline(fit, range), settledMinutes: lag.tau }
}

const isPlain = ({ fit, warmed, rate }: HeadlineDecay, tau: number): boolean =>
  warmed === undefined && fit.order === 1 && fit.floor === 0 && rate.value * tau <= TOLD_APART
