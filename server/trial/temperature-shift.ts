import { celsius } from '../../ingest/units.ts'
import { ACTIVATION_ENERGY, arrheniusFactor } from '../model/arrhenius.ts'
import { salineFactor } from '../model/salting-out.ts'
import { saturation } from '../model/saturation.ts'
import { solubilitySources } from '../model/solubility-sources.ts'

export interface Shift {
  /** What a plateau at the first temperature is multiplied by to stand for the second. */
  readonly factor: number
  /** Standard uncertainty of its logarithm: half the range of the published slopes, as a rectangular distribution. */
  readonly u: number
}

/** Plateaus further apart than this are not compared: the slope alone would decide. Engineering judgement. */
export const FARTHEST_C = 10

const GAS = { ugPerMl: 1, reference: 'normal-0c-101kpa' } as const

/**
 * C*(to)/C*(from) by each modern solubility source, gas and pressure the same; centre is Sander (2023). That a warmer fluid also
 * decays faster while it is bubbled is left out: it moves the plateau by less than the sources differ for half-lives over 15 min.
 */
export const temperatureShift = (from: number, to: number, saline: boolean): Shift => {
  const factors = solubilitySources
    .filter((s) => s.use === 'core')
    .map((source) => {
      const at = (t: number) =>
        saturation(source.ratio(celsius(t)) * (saline ? salineFactor(celsius(t)).central : 1), {
          gas: GAS,
          temperatureC: t,
          pressureKpa: 101.325,
        })
      return at(to) / at(from)
    })
  const [centre] = factors
  const range = Math.log(Math.max(...factors) / Math.min(...factors))
  return { factor: centre ?? 1, u: range / 2 / Math.sqrt(3) }
}

/**
 * What is not known of how half-lives shift between two temperatures, of the logarithm: both are brought to 20 °C by the same
 * activation energy, and published ones differ (rectangular distribution over them).
 */
export const halfLifeShiftU = (from: number, to: number): number => {
  const range = (energy: number) => Math.log(arrheniusFactor(celsius(from), energy, celsius(to)))
  return Math.abs(range(ACTIVATION_ENERGY.high) - range(ACTIVATION_ENERGY.low)) / 2 / Math.sqrt(3)
}
