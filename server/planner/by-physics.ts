import { expectationParts } from '../model/expectation.ts'
import type { Spread } from '../model/solubility.ts'
import type { Rates } from './course.ts'
import type { PlanInput } from './plan-input.ts'

const STEPS = 8

/** Evenly on the log scale: with oxygen through the fluid a middle rate may leave more behind than either end. */
const spaced = ({ low, high }: Spread): number[] =>
  Array.from({ length: STEPS + 1 }, (_, i) => low * (high / low) ** (i / STEPS))

/** Every combination of solubility, transfer and decay that physics does not rule out. */
export const ratesByPhysics = (plan: PlanInput): Rates[] => {
  const { equilibrium, transfer, halfLife } = expectationParts(plan)
  return [equilibrium.low, equilibrium.high].flatMap((atMost) =>
    spaced(transfer).flatMap((transferPerMin) =>
      [halfLife.low, halfLife.high].map((life) => {
        const decayPerMin = Math.LN2 / life
        const plateauMgPerL = (atMost * transferPerMin) / (transferPerMin + decayPerMin)
        return { plateauMgPerL, transferPerMin, decayPerMin }
      }),
    ),
  )
}
