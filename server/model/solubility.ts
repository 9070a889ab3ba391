import type { Celsius } from '../../ingest/units.ts'
import { sander, solubilitySources } from './solubility-sources.ts'

/** Low, central and high of one quantity; the width is disagreement between careful sources, not a statistic. */
export interface Spread {
  readonly low: number
  readonly central: number
  readonly high: number
}

const spreadOf = (t: Celsius, uses: readonly string[]): Spread => {
  const ratios = solubilitySources.filter((s) => uses.includes(s.use)).map((s) => s.ratio(t))
  return { low: Math.min(...ratios), central: sander.ratio(t), high: Math.max(...ratios) }
}

/** Solubility ratio S of ozone in pure water over the modern, mutually consistent sources. About ±7 % at 20 °C. */
export const coreSolubility = (t: Celsius): Spread => spreadOf(t, ['core'])

/** The same over every credible source. About ±20 % at 20 °C. */
export const wideSolubility = (t: Celsius): Spread => spreadOf(t, ['core', 'wide'])
