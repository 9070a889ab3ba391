import { celsius, kilopascal, type MgPerL, mgPerL, millilitres, mlPerMin, ugPerNml } from '../units.ts'
import type { BenchState, Flask, Gas, Levels } from './bench-state.ts'
import { bubblesThroughFluid } from './bench-state.ts'
import { decayRate } from './decay.ts'
import { type Transfer, transferFrom } from './gas-transfer.ts'
import type { BenchSettings } from './settings.ts'
import { gasInBubbles, solubilityRatio } from './solubility.ts'

type Filled = Extract<Flask, { kind: 'filled' }>
type Flowing = Exclude<Gas, { kind: 'off' }>

/** What happens to the fluid per minute, and how much ozone leaves the flask. */
export interface FlaskChange {
  readonly dissolvedPerMin: number
  readonly fluidCPerMin: number
  /** Ozone that leaves with the gas and from the surface, mg/min, before any destruct. */
  readonly escapingMgPerMin: number
}

const STILL: FlaskChange = { dissolvedPerMin: 0, fluidCPerMin: 0, escapingMgPerMin: 0 }
const NO_GAS: Transfer = { mgPerLMin: 0, gasOut: mgPerL(0) }

/**
 * dC/dt = gas transfer − k(T)·C^n − (k_L A/V)·C, and dT/dt = (T_room − T)/τ_warming. Per minute.
 */
export const flaskChange = (state: BenchState, levels: Levels, settings: BenchSettings): FlaskChange => {
  const { flask, gas, room } = state
  if (flask.kind === 'empty') return STILL
  const dissolved = mgPerL(levels.dissolvedMgPerL)
  const flowing = bubblesThroughFluid(state) && gas.kind !== 'off' ? gas : undefined
  const fromGas = flowing === undefined ? NO_GAS : bubbleTransfer(state, flask, flowing, levels, settings)
  const lostMgPerLMin = surfaceLoss(flask, dissolved, flowing !== undefined, settings)
  const decayed = decayRate(flask.decay, dissolved, celsius(levels.fluidC))
  return {
    dissolvedPerMin: fromGas.mgPerLMin - decayed - lostMgPerLMin,
    fluidCPerMin: (room.temperatureC - levels.fluidC) / settings.flask.warmingMin,
    escapingMgPerMin: ((flowing?.flowMlPerMin ?? 0) * fromGas.gasOut + flask.volumeMl * lostMgPerLMin) / 1000,
  }
}

const bubbleTransfer = (
  { room }: BenchState,
  flask: Filled,
  gas: Flowing,
  levels: Levels,
  settings: BenchSettings,
): Transfer => {
  const fluid = celsius(levels.fluidC)
  const { transferPerMin20, transferTheta } = settings.flask
  const ozone = ugPerNml(gas.kind === 'ozone' ? gas.gasUgPerNml : 0)
  return transferFrom({
    volume: millilitres(flask.volumeMl),
    flow: mlPerMin(gas.flowMlPerMin),
    transferPerMin: transferPerMin20 * transferTheta ** (fluid - 20),
    solubility: solubilityRatio(fluid, flask.saltMolPerL),
    gasIn: gasInBubbles(ozone, fluid, kilopascal(room.pressureKpa)),
    dissolved: mgPerL(levels.dissolvedMgPerL),
  })
}

/** Loss through an open surface into ozone-free air, k_L·A/V·C in mg/L per min (two-film theory, liquid side). */
const surfaceLoss = (
  flask: Filled,
  dissolved: MgPerL,
  bubbling: boolean,
  { flask: glass }: BenchSettings,
): number => {
  if (bubbling && !glass.headspaceSweptByRoomAir) return 0
  const cmPerMin = glass.surfaceTransferMPerS * 100 * 60
  return ((cmPerMin * glass.surfaceAreaCm2) / flask.volumeMl) * dissolved
}
