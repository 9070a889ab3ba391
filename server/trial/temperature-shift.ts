import { celsius } from '../../ingest/units.ts'
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
