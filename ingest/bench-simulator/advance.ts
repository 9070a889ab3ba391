import type { BenchState, Levels } from './bench-state.ts'
import { flaskChange } from './flask-balance.ts'
import { caughtUp, lagPerMin, seenByProbe, seenByThermometer } from './probe.ts'
import { roomChange } from './room-air.ts'
import { rungeKuttaStep } from './runge-kutta.ts'
import type { BenchSettings } from './settings.ts'

/** The bench `seconds` later with nobody touching it, in equal steps short enough for its fastest process. */
export const advance = (state: BenchState, seconds: number, settings: BenchSettings): BenchState => {
  if (seconds <= 0) return state
  const steps = Math.ceil(seconds / longestStepS(settings))
  const minutes = seconds / 60 / steps
  const rate = (levels: Levels) => levelsPerMin(state, levels, settings)
  let levels = state.levels
  for (let step = 0; step < steps; step++) levels = rungeKuttaStep(rate, levels, minutes)
  return { ...state, levels: caughtUp(state, levels, settings) }
}

/** At most an eighth of any time constant keeps each Runge-Kutta step within 1e-6 of the exact solution. */
const longestStepS = ({ flask, meter, thermometer }: BenchSettings): number =>
  Math.min(1, lagStepS(meter.lagS), lagStepS(thermometer.lagS), 60 / (8 * flask.transferPerMin20))

const lagStepS = (lagS: number): number => (lagS === 0 ? Number.POSITIVE_INFINITY : lagS / 8)

const levelsPerMin = (state: BenchState, levels: Levels, settings: BenchSettings): Levels => {
  const fluid = flaskChange(state, levels, settings)
  const { meter, thermometer } = settings
  return {
    dissolvedMgPerL: fluid.dissolvedPerMin,
    fluidC: fluid.fluidCPerMin,
    probeMgPerL: lagPerMin(seenByProbe(state, levels, settings), levels.probeMgPerL, meter.lagS),
    thermometerC: lagPerMin(seenByThermometer(state, levels), levels.thermometerC, thermometer.lagS),
    roomMgPerM3: roomChange(levels.roomMgPerM3, fluid.escapingMgPerMin, settings),
  }
}
