import { type MgPerL, type Millilitres, type MlPerMin, mgPerL } from '../units.ts'

export interface Column {
  readonly volume: Millilitres
  /** Gas flow at the fluid's temperature and pressure. */
  readonly flow: MlPerMin
  /** Transfer coefficient times bubble area per liquid volume, 1/min. */
  readonly transferPerMin: number
  /** Solubility ratio S of the fluid as it is now. */
  readonly solubility: number
  /** Ozone in the gas as it enters; 0 for oxygen alone. */
  readonly gasIn: MgPerL
  /** Ozone in the fluid, well mixed. */
  readonly dissolved: MgPerL
}

export interface Transfer {
  /** Rise of dissolved ozone, mg/L per min; negative when the gas carries ozone out. */
  readonly mgPerLMin: number
  /** Ozone in the gas that leaves the fluid. */
  readonly gasOut: MgPerL
}

/** Length of one slice, in units of the gas's own depletion length: RK4 then errs by less than 1e-7 per slice. */
const SLICE = 0.125
/** Beyond this the gas has met its equilibrium with the fluid; nothing more passes. */
const EQUILIBRIUM = 1e-12

/**
 * What rising gas gives to, or takes from, well-mixed fluid. The gas is followed upwards slice by slice:
 *
 *     Q dy = −kLa (S y − C) dV       from y = y_in at the bottom to y = y_out at the top
 *     dC/dt = Q (y_in − y_out)/V
 *
 * with y the ozone in the gas and C that in the fluid (mg/L). Quasi-steady gas, plug flow, constant Q; the integration
 * is numerical on purpose, so that it can stand against a closed form. Textbook mass balance of a bubble column.
 */
export const transferFrom = (column: Column): Transfer => {
  const gasOut = mgPerL(gasAtTop(column))
  return { mgPerLMin: (column.flow * (column.gasIn - gasOut)) / column.volume, gasOut }
}

const gasAtTop = (column: Column): number => {
  const { volume, flow, transferPerMin, solubility, gasIn, dissolved } = column
  const depletionLengths = (transferPerMin * solubility * volume) / flow
  const slices = Math.max(1, Math.ceil(depletionLengths / SLICE))
  const sliceVolume = volume / slices
  const perMl = (gas: number) => (-transferPerMin * (solubility * gas - dissolved)) / flow
  const settled = EQUILIBRIUM * Math.abs(perMl(gasIn))
  let gas: number = gasIn
  for (let slice = 0; slice < slices && Math.abs(perMl(gas)) > settled; slice++) {
    gas = oneSlice(perMl, gas, sliceVolume)
  }
  return gas
}

/** One fourth-order Runge-Kutta step up the column. */
const oneSlice = (perMl: (gas: number) => number, gas: number, h: number): number => {
  const s1 = perMl(gas)
  const s2 = perMl(gas + (h / 2) * s1)
  const s3 = perMl(gas + (h / 2) * s2)
  const s4 = perMl(gas + h * s3)
  return gas + (h / 6) * (s1 + 2 * s2 + 2 * s3 + s4)
}
