import { expectation } from '../model/expectation.ts'
import type { BatchSummary } from '../wire.ts'
import { type OwnBatches, ownBatches, ratesByOwn } from './by-own-batches.ts'
import { ratesByPhysics } from './by-physics.ts'
import type { PlanInput } from './plan-input.ts'
import { bandsOver, type PlanBands } from './side.ts'
import { type Way, waysToTarget } from './ways.ts'

export interface PlanSide {
  readonly bands: PlanBands
  /** What it rests on, and what it takes for granted, in words. */
  readonly basis: readonly string[]
}

export interface Plan {
  readonly physics: PlanSide
  readonly own_batches: PlanSide
  readonly ways: readonly Way[]
  readonly notes: readonly string[]
}

/** A batch before it is opened, by physics and by this clinic's own batches, side by side. `finished`: newest first. */
export const planOf = (input: PlanInput, finished: readonly BatchSummary[]): Plan => {
  const { notes, plateau_mg_l, t95_min, half_life_min } = expectation(input)
  const own = ownBatches(input, finished)
  return {
    physics: {
      bands: bandsOver(ratesByPhysics(input), input),
      basis: [...new Set([plateau_mg_l, t95_min, half_life_min].flatMap((band) => band.sources))],
    },
    own_batches: { bands: ownBands(own, input), basis: own.basis },
    ways: waysToTarget(input),
    notes: [...notes, ...assumed(input)],
  }
}

/** Where not all three are known, what is known stands alone. */
const ownBands = (own: OwnBatches, input: PlanInput): PlanBands => {
  const rates = ratesByOwn(own)
  const { plateau, t95, halfLife } = own
  const known = {
    ...(plateau ? { plateau_mg_l: { low: plateau.low, high: plateau.high } } : {}),
    ...(t95 ? { t95_min: { low: t95.low, high: t95.high } } : {}),
    ...(halfLife ? { half_life_min: { low: halfLife.low, high: halfLife.high } } : {}),
  }
  return rates ? { ...bandsOver(rates, input), ...known } : known
}

const assumed = (input: PlanInput): string[] => [
  ...(input.prepMin === undefined
    ? ['no prep time: ozone taken as on until 95 % of what it levels off at, whichever time that is']
    : []),
  ...(input.targetMgPerL === undefined
    ? ['no target: nothing is said about when it is reached or for how long it lasts']
    : [
        input.roomC === undefined
          ? 'room temperature not given: the early end of the minutes above target counts a room of 25 °C'
          : `the early end of the minutes above target counts warming to ${Math.max(input.roomC, input.temperatureC)} °C`,
      ]),
  ...(input.roomM3 === undefined
    ? ['room volume not given: no ppm']
    : ['ppm: all of it in a closed room, evenly mixed, no ventilation, none decayed']),
]
