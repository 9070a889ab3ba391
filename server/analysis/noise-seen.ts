import { BINS } from '../fit/correlated-fit.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { NoiseHistory } from './input.ts'

/** A record worth fewer independent readings cannot tell its own noise, let alone that of the next batch. */
const LEAST_EFFECTIVE = 15

/**
 * The noise of the instrument as this batch shows it, for the first minutes of the next one. Taken from the phase
 * worth the most independent readings; undefined when none is worth enough.
 */
export const noiseSeen = (fits: BatchFits): NoiseHistory | undefined => {
  const curves = fits.results
    .flatMap(curveOf)
    .filter((c) => !c.fromHistory && c.effectiveReadings >= LEAST_EFFECTIVE)
  const best = curves.sort((a, b) => b.effectiveReadings - a.effectiveReadings)[0]
  if (best === undefined) return undefined
  const { correlationTime, whiteShare } = best.noise
  // the share is of an average bin; one reading's white variance is a bin's times the readings in it
  const white = whiteShare * Math.max(1, best.n / BINS)
  return {
    sdMgPerL: best.readingSd,
    correlationTimeS: correlationTime * 60,
    whiteFraction: white / (1 - whiteShare + white),
  }
}

const curveOf = (result: PhaseResult) =>
  result.kind !== 'purge' && result.fit !== undefined ? [result.fit.curve] : []
