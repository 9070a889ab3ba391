import { type DecayFit, fitDecay } from '../fit/decay-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import type { Phase } from '../phase/phase.ts'
import { type BatchContext, curveData, lagMinutes } from './batch-context.ts'
import { ORDER_HALF_LIVES } from './decay-kind.ts'
import { type Headline, type HeadlineDecay, plainHeadline, WARMED_BY_K } from './headline-decay.ts'
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

interface Settled {
  readonly headline: Headline
  readonly isStepped: boolean
}

/**
 * A young decay behind a probe of known response, from one time constant after flow-off: the probe's own transient is
 * fitted beside it, y = A·e^(−k t) + B·e^(−t/τ), where waiting 5τ would give up half of the first minutes. B is free, so
 * that a τ a little off or a late tap at flow-off goes into it and not into k. Undefined where that cannot be done: the
 * decay is then read from 5τ on, as `settled` does, which is also asked once the record could tell another order.
 */
export const decayUnderLag = (
  context: BatchContext,
  phase: Phase,
  range: readonly [number, number] | undefined,
  settled: () => Settled,
): LaggedDecay | undefined => {
  const lag = lagMinutes(context.input)
  if (lag === undefined || lag.tau === 0 || !phase.startSeen || phase.drawnUpS.length > 0) return undefined
  if (context.input.readingUPercent !== undefined) return undefined
  if ((phase.endS - phase.startS) / 60 > WORTH_IT_FOLDS * lag.tau) return undefined
  if (range !== undefined && range[1] - range[0] > WARMED_BY_K) return undefined
  const readings = context.readingsOf(phase, lag.tau)
  const fit = fitDecay({ ...curveData(context.input, readings), order: 1, transient: lag.tau })
  if (fit.kind === 'refused' || fit.rate * lag.tau > TOLD_APART) return undefined
  if (halfLivesOf(fit, readings.times) > ORDER_HALF_LIVES && !isPlain(settled())) return undefined
  return { readings, headline: plainHeadline(fit, range), settledMinutes: lag.tau }
}

const halfLivesOf = ({ rate }: DecayFit, times: Float64Array): number =>
  ((at(times, times.length - 1) - at(times, 0)) * rate) / Math.LN2

const isPlain = ({ headline, isStepped }: Settled): boolean =>
  !isStepped &&
  headline.kind === 'fitted' &&
  headline.warmed === undefined &&
  headline.fit.order === 1 &&
  headline.fit.floor === 0
