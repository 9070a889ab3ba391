import type { Random } from './random.ts'
import type { BenchSettings } from './settings.ts'

type Meter = BenchSettings['meter']

/** Slow meter noise: a Gaussian process with autocorrelation exp(−h/τ), drawn at the times it is asked for. */
export interface SlowNoise {
  /** Value `elapsedS` after the last call, in standard deviations. */
  after(elapsedS: number): number
}

/** x(t + h) = ρ·x(t) + √(1 − ρ²)·normal, ρ = exp(−h/τ): first-order autoregression, exact at any spacing. */
export const createSlowNoise = (random: Random, correlationS: number): SlowNoise => {
  let value = random.normal()
  return {
    after(elapsedS) {
      const kept = Math.exp(-elapsedS / correlationS)
      value = kept * value + Math.sqrt(1 - kept * kept) * random.normal()
      return value
    },
  }
}

export interface MeterReading {
  readonly mgPerL: number
  /** At full scale: the true value is this or more. */
  readonly clipped: boolean
}

/** What the meter's display says: gain and zero, noise, a rare spike, then its range and its last digit. */
export const meterReading = (
  probeMgPerL: number,
  slow: number,
  noiseTimes: number,
  meter: Meter,
  random: Random,
): MeterReading => {
  const noise = slow * meter.slowNoiseMgPerL + random.normal() * meter.whiteNoiseMgPerL
  const value = meter.gain * probeMgPerL + meter.zeroMgPerL + noise * noiseTimes + spike(meter, random)
  const shown = rounded(Math.max(meter.lowestMgPerL, value), meter.resolutionMgPerL)
  return { mgPerL: Math.min(meter.fullScaleMgPerL, shown), clipped: shown >= meter.fullScaleMgPerL }
}

/** Draws the same count of random numbers with and without a spike, so that settings do not shift the noise. */
const spike = ({ spikeChance, spikeMgPerL }: Meter, random: Random): number => {
  const happens = random.uniform() < spikeChance
  const size = spikeMgPerL * (random.uniform() < 0.5 ? -1 : 1)
  return happens ? size : 0
}

/** To the nearest step of the display; the second rounding removes binary dust such as 0.30000000000000004. */
export const rounded = (value: number, resolution: number): number =>
  resolution === 0 ? value : Number((Math.round(value / resolution) * resolution).toFixed(9))
