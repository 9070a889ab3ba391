import { at } from '../fit/linear-algebra.ts'
import { usualStepOf } from '../fit/rate-shape.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { NoiseHistory } from './input.ts'

/** A record worth fewer independent readings cannot tell its own noise, let alone that of the next batch. */
const LEAST_EFFECTIVE = 15

/**
 * The noise of the instrument as this batch shows it, for the first minutes of the next one. Taken from the phase
 * worth the most independent readings; undefined when none is worth enough.
 */
export const noiseSeen = (fits: BatchFits): NoiseHistory | undefined => {
  const told = fits.results
    .flatMap(fittedOf)
    .filter(({ curve }) => !curve.fromHistory && curve.effectiveReadings >= LEAST_EFFECTIVE)
  const best = told.sort((a, b) => b.curve.effectiveReadings - a.curve.effectiveReadings)[0]
  if (best === undefined) return undefined
  const { curve, readings } = best
  const correlationTimeS = 60 * curve.noise.correlationTime
  return {
    sdMgPerL: curve.readingSd,
    correlationTimeS,
    whiteFraction: whiteFraction(readings.times, readings.values, curve, correlationTimeS),
  }
}

const fittedOf = (result: PhaseResult) =>
  result.kind !== 'purge' && result.fit !== undefined
    ? [{ curve: result.fit.curve, readings: result.readings }]
    : []

/** So many neighbourhoods, spread over the phase, tell the white part within some 3 %. */
const LOOKED_AT = 2000

/**
 * White part of the variance of one reading, from neighbouring readings, which the fit's longer averages cannot tell.
 * For noise of variance σ², white part w and correlation ρ from reading to reading, the second difference of three
 * neighbours has variance σ²·(6w + (1 − w)(6 − 8ρ + 2ρ²)); a smooth curve has almost none.
 */
const whiteFraction = (
  times: Float64Array,
  values: Float64Array,
  { readingSd, outliers }: { readonly readingSd: number; readonly outliers: Uint8Array },
  correlationTimeS: number,
): number => {
  const step = usualStepOf(times) ?? 0
  const apart = (i: number) => at(times, i) - at(times, i - 1)
  const isUsual = (i: number) => outliers[i] !== 1 && Math.abs(apart(i) - step) < 0.2 * step
  let sum = 0
  let count = 0
  const last = Math.min(values.length, outliers.length)
  const stride = Math.max(1, (last - 2) / LOOKED_AT)
  for (let k = 2; k < last; k += stride) {
    const i = Math.floor(k)
    if (!isUsual(i) || !isUsual(i - 1) || outliers[i - 2] === 1) continue
    sum += (at(values, i) - 2 * at(values, i - 1) + at(values, i - 2)) ** 2
    count++
  }
  if (count === 0 || readingSd === 0) return 1
  const kept = Math.exp((-60 * step) / correlationTimeS)
  const slow = 6 - 8 * kept + 2 * kept ** 2
  return Math.max(0, Math.min(1, (sum / count / readingSd ** 2 - slow) / (6 - slow)))
}
