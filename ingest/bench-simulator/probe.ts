import { type BenchState, bubblesThroughFluid, type Levels, probeInFluid } from './bench-state.ts'
import type { BenchSettings } from './settings.ts'

/** What the ozone probe's membrane sees; in air, nothing that it could measure. */
export const seenByProbe = (state: BenchState, levels: Levels, { meter }: BenchSettings): number => {
  if (!probeInFluid(state)) return 0
  return levels.dissolvedMgPerL * (bubblesThroughFluid(state) ? 1 : meter.stillFluidShare)
}

/** The thermometer sits in the ozone probe: out of the fluid it takes the room's temperature. */
export const seenByThermometer = (state: BenchState, levels: Levels): number =>
  probeInFluid(state) ? levels.fluidC : state.room.temperatureC

/** First-order lag, τ dx/dt = seen − x; per minute. A lag of 0 is handled by `caughtUp`. */
export const lagPerMin = (seen: number, shown: number, lagS: number): number =>
  lagS === 0 ? 0 : ((seen - shown) / lagS) * 60

/** Instruments without lag show what they see. */
export const caughtUp = (state: BenchState, levels: Levels, settings: BenchSettings): Levels => ({
  ...levels,
  probeMgPerL: settings.meter.lagS === 0 ? seenByProbe(state, levels, settings) : levels.probeMgPerL,
  thermometerC: settings.thermometer.lagS === 0 ? seenByThermometer(state, levels) : levels.thermometerC,
})
