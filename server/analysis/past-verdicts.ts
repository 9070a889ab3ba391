import { tQuantiles } from '../fit/student-t.ts'
import { ambientOf, NORMAL_KPA, toNormal } from '../model/gas-concentration.ts'
import type { ColderRule, FluidRule } from '../model/rules-of-thumb.ts'
import { coreSaturation } from '../model/saturation.ts'
import type { Judged } from '../verdict/causes.ts'
import type { Comparison, ExpectedBand } from '../verdict/compare.ts'
import type { PhaseResult } from './fit-batch.ts'
import type { AnalysisInput, PastBatch } from './input.ts'
import { verdictFrom } from './judge.ts'
import type { Quantity } from './quantity-schema.ts'
import { ruleOf } from './rule-of.ts'
import type { Verdict } from './schema.ts'

type PastRule = ColderRule | FluidRule

/** Fewer batches say nothing about the spread between batches. */
const LEAST_BATCHES = 3
/** Temperatures nearer than this, K, count as the same: half-lives differ by less than batches do. */
const APART_K = 5

/**
 * "Colder lasts longer", "filtered water holds less": this batch against the clinic's others. Logarithms; the band is
 * where one more batch of the others would lie in 95 of 100 cases (mean ± t·s·√(1 + 1/n)). It agrees or differs only
 * when this batch's whole interval lies outside that band.
 */
export const pastVerdict = (
  input: AnalysisInput,
  rule: PastRule,
  result: PhaseResult,
  phase: number,
): Verdict[] => {
  const mine = quantityOf(rule, result)
  const me = input.expectation
  if (mine === undefined || me === undefined) return []
  const { about, scale } = measureOf(rule)
  const group = others(input, rule)
  if (group === undefined) return []
  const factor = scale(me)
  const values = group.batches.flatMap((b) => comparedValue(rule, b, scale) ?? [])
  if (factor === undefined) return []
  const quantity = scaled(mine, factor)
  const held = { about, quantity, phase }
  if (values.length < LEAST_BATCHES) return [noBasis(rule, about, phase, values.length)]
  const expected = bandOf(values)
  const against = {
    against: 'rule-of-thumb' as const,
    expected,
    sources: [rule.origin, `${values.length} earlier batches of this clinic`],
    rule: ruleOf(rule),
  }
  return [verdictFrom(held, against, beside(quantity, expected, group.expect))]
}

const noBasis = (rule: PastRule, about: Judged, phase: number, batches: number): Verdict => ({
  about,
  phase,
  against: 'rule-of-thumb',
  outcome: 'cannot-tell',
  why: 'no-basis',
  sources: [rule.origin, `${batches} earlier batches of this clinic to compare with; three are needed`],
  rule: ruleOf(rule),
})

const quantityOf = (rule: PastRule, { report }: PhaseResult): Quantity | undefined => {
  if (rule.about === 'plateau') return report.kind === 'rise' ? report.plateau_mg_l : undefined
  if (report.kind !== 'decay') return undefined
  return rule.kind === 'fluid' ? report.half_life_20c_min : report.half_life_min
}

type Where = Pick<PastBatch, 'gas' | 'temperatureC'>
type Scale = (where: Where) => number | undefined

/** Plateaus are compared per gas; between fluids also at one temperature, by the equilibrium of pure water. */
const measureOf = (rule: PastRule): { readonly about: Judged; readonly scale: Scale } => {
  if (rule.about === 'half-life')
    return { about: rule.kind === 'fluid' ? 'half_life_20c_min' : 'half_life_min', scale: () => 1 }
  return rule.kind === 'colder'
    ? { about: 'plateau_over_gas', scale: perGas }
    : { about: 'plateau_over_equilibrium', scale: perEquilibrium }
}

const perGas: Scale = ({ gas, temperatureC }) =>
  gas && temperatureC !== undefined ? 1 / toNormal(gas, ambientOf({ temperatureC })) : undefined

const perEquilibrium: Scale = ({ gas, temperatureC }) =>
  gas && temperatureC !== undefined
    ? 1 / coreSaturation({ gas, temperatureC, pressureKpa: NORMAL_KPA, saline: false }).central
    : undefined

const comparedValue = (rule: PastRule, batch: PastBatch, scale: Scale): number | undefined => {
  const factor = scale(batch)
  const halfLife = rule.kind === 'fluid' ? batch.halfLife20cMin : batch.halfLifeMin
  const value = rule.about === 'plateau' ? batch.plateauMgPerL : halfLife
  return factor === undefined || value === undefined ? undefined : value * factor
}

interface Others {
  readonly batches: readonly PastBatch[]
  /** What the rule expects of this batch beside these. */
  readonly expect: 'more' | 'less'
}

const opposite = { more: 'less', less: 'more' } as const

const others = ({ history, expectation }: AnalysisInput, rule: PastRule): Others | undefined => {
  if (expectation === undefined) return undefined
  const singles = history?.singles ?? []
  const { fluid, temperatureC } = expectation
  if (rule.kind === 'fluid') {
    if (fluid === rule.fluid)
      return { batches: singles.filter((b) => rule.than.includes(b.fluid)), expect: rule.expect }
    return rule.than.includes(fluid)
      ? { batches: singles.filter((b) => b.fluid === rule.fluid), expect: opposite[rule.expect] }
      : undefined
  }
  const alike = singles.filter((b) => b.fluid === fluid)
  const warmer = alike.filter((b) => b.temperatureC !== undefined && b.temperatureC > temperatureC + APART_K)
  const colder = alike.filter((b) => b.temperatureC !== undefined && b.temperatureC < temperatureC - APART_K)
  return warmer.length >= colder.length
    ? { batches: warmer, expect: rule.expect }
    : { batches: colder, expect: opposite[rule.expect] }
}

const scaled = (quantity: Quantity, factor: number): Quantity => {
  if ('at_least' in quantity) return { ...quantity, at_least: quantity.at_least * factor }
  if ('at_most' in quantity) return { ...quantity, at_most: quantity.at_most * factor }
  const { value, se, ci95 } = quantity
  return { value: value * factor, se: se * factor, ci95: [ci95[0] * factor, ci95[1] * factor] }
}

const bandOf = (values: readonly number[]): ExpectedBand => {
  const logs = values.map(Math.log)
  const n = logs.length
  const mean = logs.reduce((a, b) => a + b, 0) / n
  const sd = Math.sqrt(logs.reduce((sum, l) => sum + (l - mean) ** 2, 0) / (n - 1))
  const reach = tQuantiles(n - 1).twoSided * sd * Math.sqrt(1 + 1 / n)
  return { low: Math.exp(mean - reach), central: Math.exp(mean), high: Math.exp(mean + reach) }
}

const beside = (quantity: Quantity, { low, high }: ExpectedBand, expect: 'more' | 'less'): Comparison => {
  const lowest = 'value' in quantity ? quantity.ci95[0] : 'at_least' in quantity ? quantity.at_least : 0
  const highest =
    'value' in quantity
      ? quantity.ci95[1]
      : 'at_most' in quantity
        ? quantity.at_most
        : Number.POSITIVE_INFINITY
  const found = 'value' in quantity ? quantity.value : 'at_least' in quantity ? lowest : highest
  if (lowest > high)
    return expect === 'more'
      ? { outcome: 'agrees', found }
      : { outcome: 'differs', found, direction: 'above', byPercent: (100 * (found - high)) / high }
  if (highest < low)
    return expect === 'less'
      ? { outcome: 'agrees', found }
      : { outcome: 'differs', found, direction: 'below', byPercent: (100 * (low - found)) / low }
  return { outcome: 'cannot-tell', why: 'value' in quantity ? 'interval-too-wide' : 'only-a-bound' }
}
