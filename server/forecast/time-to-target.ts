import { ACTIVATION_ENERGY } from '../model/arrhenius.ts'
import { ownMinutes } from './crossing.ts'
import { type DecayState, HORIZON_MIN } from './decay-state.ts'
import { rateFactor, type TemperatureAhead, type WarmingAhead } from './warming-ahead.ts'

/** Minutes from now until potency reaches the target. */
export interface TimeToTarget {
  readonly expected: number
  /** One-sided 95 %: later only with 95 % confidence. */
  readonly early: number
  readonly ci95: readonly [number, number]
}

const STEP_MIN = 0.25

/**
 * Integrates k(T) over the expected temperature. Minutes at the present rate carry the uncertainty of readings and prior;
 * each activation energy (45, 65, 80 kJ/mol) and warming turns them into clock minutes, and the widest ends are kept.
 * 0 when the target is reached already.
 */
export const timeToTarget = (state: DecayState, target: number, warming: WarmingAhead): TimeToTarget => {
  const own = ownMinutes(state, target)
  const expected = clockMinutes(own.expected, warming.expected, ACTIVATION_ENERGY.central, state)
  const energies = [ACTIVATION_ENERGY.low, ACTIVATION_ENERGY.central, ACTIVATION_ENERGY.high]
  const courses = [warming.expected, warming.fastest]
  const over = (minutes: number) =>
    courses.flatMap((course) => energies.map((energy) => clockMinutes(minutes, course, energy, state)))
  return {
    expected,
    early: Math.min(expected, ...over(own.early)),
    ci95: [Math.min(expected, ...over(own.low)), Math.max(expected, ...over(own.high))],
  }
}

const clockMinutes = (own: number, ahead: TemperatureAhead, energyKj: number, state: DecayState): number =>
  minutesByClock(own, ahead, energyKj, carriedFactor(ahead, energyKj, state))

/** Minutes at the present rate (times `carried`) into minutes by the clock, while the temperature changes. */
export const minutesByClock = (
  own: number,
  ahead: TemperatureAhead,
  energyKj: number,
  carried = 1,
): number => {
  if (ahead.perMinute === 0 || Math.abs(ahead.roomC - ahead.nowC) < 0.05)
    return Math.min(HORIZON_MIN, own / carried)
  let gone = 0
  let before = carried
  for (let t = 0; t < HORIZON_MIN; t += STEP_MIN) {
    const after = carried * rateFactor(ahead, t + STEP_MIN, energyKj)
    const step = (STEP_MIN * (before + after)) / 2
    if (gone + step >= own) return t + (STEP_MIN * (own - gone)) / step
    gone += step
    before = after
  }
  return HORIZON_MIN
}

/** The rate was learnt at the mean temperature of the readings; another activation energy carries it to now otherwise. */
const carriedFactor = (ahead: TemperatureAhead, energyKj: number, state: DecayState): number => {
  if (state.learntAtC === undefined) return 1
  const difference = { nowC: state.learntAtC, roomC: ahead.nowC, perMinute: Number.POSITIVE_INFINITY }
  return rateFactor(difference, 1, energyKj) / rateFactor(difference, 1, ACTIVATION_ENERGY.central)
}
