import type { Fluid } from '../model/expectation.ts'
import { ambientOf, atState, type GasReading, NORMAL_KPA, toNormal } from '../model/gas-concentration.ts'
import type { Doing } from './course.ts'

/** What a batch is planned with. Units in the names; what is left out is not assumed but left unsaid. */
export interface PlanInput {
  readonly fluid: Fluid
  readonly volumeMl: number
  readonly temperatureC: number
  readonly gas: GasReading
  /** At ambient temperature and pressure. */
  readonly flowMlPerMin: number
  readonly targetMgPerL?: number
  readonly prepMin?: number
  readonly purgeMin: number
  readonly purge: 'through-the-fluid' | 'tube-lifted-clear' | 'bypass-to-destruct' | 'none'
  readonly roomM3?: number
  readonly roomC?: number
  readonly pressureKpa?: number
}

export const doingOf = (plan: PlanInput): Doing => ({
  volumeMl: plan.volumeMl,
  gasUgPerMl: flowingUgPerMl(plan),
  flowMlPerMin: plan.flowMlPerMin,
  purgeMin: plan.purge === 'none' ? 0 : plan.purgeMin,
  purgeThroughFluid: plan.purge === 'through-the-fluid',
  ...(plan.prepMin === undefined ? {} : { prepMin: plan.prepMin }),
  ...(plan.targetMgPerL === undefined ? {} : { targetMgPerL: plan.targetMgPerL }),
})

/** Of the gas as it flows, at 20 °C and the room's pressure, where the flowmeter is read. */
const flowingUgPerMl = (plan: PlanInput): number =>
  atState(toNormal(plan.gas, ambientOf(plan)), { celsius: 20, kpa: plan.pressureKpa ?? NORMAL_KPA })
