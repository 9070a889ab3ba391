import { celsius } from '../../ingest/units.ts'
import { type Expectation, expectation } from '../model/expectation.ts'
import { supplyLimit } from '../model/gas-depletion.ts'
import { ABOUT, rulesOfThumb } from '../model/rules-of-thumb.ts'
import { coreSolubility } from '../model/solubility.ts'
import { IMPOSSIBLE_RATE, type Judged, likelyCauses } from '../verdict/causes.ts'
import { compare, type ExpectedBand } from '../verdict/compare.ts'
import { temperatureCourse, temperatureRange } from './batch-temperature.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { AnalysisInput, LogSpread } from './input.ts'
import type { Quantity } from './quantity-schema.ts'
import type { Verdict } from './schema.ts'

/** Every fitted quantity against the physics band, the rule of thumb and the clinic's own history. */
export const verdictsOf = ({ input, results }: BatchFits): Verdict[] =>
  results.flatMap((result, phase) => {
    const expected = expectedOver(input, result)
    return quantitiesOf(result).flatMap(({ about, quantity }) => [
      ...againstExpectation(input, about, quantity, phase, expected),
      ...againstThumb(about, quantity, phase),
      ...againstHistory(input, about, quantity, phase),
    ])
  })

const quantitiesOf = ({ report }: PhaseResult): { about: Judged; quantity: Quantity }[] => {
  const of = (about: Judged, quantity: Quantity | undefined) =>
    quantity === undefined ? [] : [{ about, quantity }]
  switch (report.kind) {
    case 'rise':
      return [
        ...of('plateau_mg_l', report.plateau_mg_l),
        ...of('rate_per_min', report.rate_per_min),
        ...of('t95_min', report.t95_from_zero_min),
      ]
    case 'decay':
      return [
        ...of('half_life_min', report.half_life_min),
        ...of('half_life_20c_min', report.half_life_20c_min),
      ]
    case 'purge':
      return []
    default:
      return report satisfies never
  }
}

/** The physics band at the temperature measured during the phase, else at the one recorded. */
const expectedOver = (input: AnalysisInput, { phase }: PhaseResult): Expectation | undefined => {
  if (input.expectation === undefined) return undefined
  const course = temperatureCourse(input)
  const range = course && temperatureRange(course, phase)
  const temperatureC = range === undefined ? input.expectation.temperatureC : (range[0] + range[1]) / 2
  return expectation({ ...input.expectation, temperatureC })
}

const againstExpectation = (
  input: AnalysisInput,
  about: Judged,
  quantity: Quantity,
  phase: number,
  expected: Expectation | undefined,
): Verdict[] => {
  if (expected === undefined || about === 'half_life_20c_min') return []
  const { sources, ...band } = expected[about]
  const verdict = judge(about, quantity, phase, 'expectation', band, sources)
  if (about !== 'rate_per_min' || verdict.direction !== 'above' || !isImpossible(input, quantity))
    return [verdict]
  return [{ ...verdict, causes: [IMPOSSIBLE_RATE, ...(verdict.causes ?? [])] }]
}

const isImpossible = ({ expectation: given }: AnalysisInput, quantity: Quantity): boolean => {
  if (given === undefined || !('value' in quantity)) return false
  const solubilityRatio = coreSolubility(celsius(given.temperatureC)).central
  return quantity.ci95[0] > supplyLimit({ ...given, solubilityRatio }) + 0.1
}

const againstThumb = (about: Judged, quantity: Quantity, phase: number): Verdict[] => {
  const rule = rulesOfThumb.find((r) => r.about === about)
  if (rule === undefined) return []
  const spread = rule.low === rule.high ? ABOUT : 0
  const band = {
    low: rule.low * (1 - spread),
    central: (rule.low + rule.high) / 2,
    high: rule.high * (1 + spread),
  }
  return [judge(about, quantity, phase, 'rule-of-thumb', band, [`${rule.words} (${rule.origin})`])]
}

/** Band of the next batch: two spreads about the mean of the earlier ones, widened for few. */
const againstHistory = (
  { history }: AnalysisInput,
  about: Judged,
  quantity: Quantity,
  phase: number,
): Verdict[] => {
  const past: Partial<Record<Judged, LogSpread | undefined>> = {
    plateau_mg_l: history?.plateauMgPerL,
    rate_per_min: history?.ratePerMin,
    half_life_20c_min: history?.halfLife20cMin,
  }
  const spread = past[about]
  if (history === undefined || spread === undefined) return []
  const reach = 2 * spread.sdLog * Math.sqrt(1 + 1 / Math.max(1, history.batches))
  const band = {
    low: Math.exp(spread.meanLog - reach),
    central: Math.exp(spread.meanLog),
    high: Math.exp(spread.meanLog + reach),
  }
  return [
    judge(about, quantity, phase, 'history', band, [`${history.batches} earlier batches of this clinic`]),
  ]
}

const judge = (
  about: Judged,
  quantity: Quantity,
  phase: number,
  against: Verdict['against'],
  expected: ExpectedBand,
  sources: readonly string[],
): Verdict => {
  const common = { about, phase, against, expected: { ...expected }, sources: [...sources] }
  const result = compare(quantity, expected)
  switch (result.outcome) {
    case 'agrees':
      return { ...common, outcome: 'agrees', found: result.found }
    case 'differs':
      return {
        ...common,
        outcome: 'differs',
        found: result.found,
        by_percent: result.byPercent,
        direction: result.direction,
        causes: [...likelyCauses(about, result.direction)],
      }
    case 'cannot-tell':
      return {
        ...common,
        outcome: 'cannot-tell',
        why: 'why' in quantity && result.why === 'only-a-bound' ? quantity.why : 'interval-too-wide',
      }
    default:
      return result satisfies never
  }
}
