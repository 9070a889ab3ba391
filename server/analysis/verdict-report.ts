import { celsius } from '../../ingest/units.ts'
import { type Expectation, expectation } from '../model/expectation.ts'
import { NORMAL_KPA } from '../model/gas-concentration.ts'
import { supplyLimit } from '../model/gas-depletion.ts'
import { coreSaturation } from '../model/saturation.ts'
import { coreSolubility } from '../model/solubility.ts'
import { IMPOSSIBLE_RATE, type Judged } from '../verdict/causes.ts'
import { temperatureCourse, temperatureRange } from './batch-temperature.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { AnalysisInput, LogSpread } from './input.ts'
import { judge } from './judge.ts'
import { bandOfNext } from './next-batch-band.ts'
import type { Quantity } from './quantity-schema.ts'
import type { Verdict } from './schema.ts'
import { thumbVerdicts } from './thumb-verdicts.ts'

/** Every fitted quantity against the physics band and the clinic's own history, and the rules of thumb beside them. */
export const verdictsOf = (fits: BatchFits): Verdict[] => {
  const { input, results } = fits
  return [
    ...results.flatMap((result, phase) => {
      const expected = expectedOver(input, result)
      return quantitiesOf(result).flatMap(({ about, quantity }) => [
        ...againstExpectation(input, about, quantity, phase, expected),
        ...againstHistory(input, about, quantity, phase, equilibriumAt(input, result)),
      ])
    }),
    ...thumbVerdicts(fits),
  ]
}

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
const expectedOver = (input: AnalysisInput, result: PhaseResult): Expectation | undefined => {
  if (input.expectation === undefined) return undefined
  return expectation({
    ...input.expectation,
    temperatureC: celsiusOf(input, result) ?? input.expectation.temperatureC,
  })
}

/** Measured during the phase. */
const celsiusOf = (input: AnalysisInput, { phase }: Pick<PhaseResult, 'phase'>): number | undefined => {
  const course = temperatureCourse(input)
  const range = course && temperatureRange(course, phase)
  return range && (range[0] + range[1]) / 2
}

const againstExpectation = (
  input: AnalysisInput,
  about: Judged,
  quantity: Quantity,
  phase: number,
  expected: Expectation | undefined,
): Verdict[] => {
  if (expected === undefined || !isExpected(about)) return []
  const { sources, ...band } = expected[about]
  const verdict = judge({ about, quantity, phase }, { against: 'expectation', expected: band, sources })
  if (about !== 'rate_per_min' || verdict.direction !== 'above' || !isImpossible(input, quantity))
    return [verdict]
  return [{ ...verdict, causes: [IMPOSSIBLE_RATE, ...(verdict.causes ?? [])] }]
}

const isExpected = (about: Judged): about is Exclude<keyof Expectation, 'notes'> =>
  about === 'plateau_mg_l' || about === 'rate_per_min' || about === 't95_min' || about === 'half_life_min'

const isImpossible = ({ expectation: given }: AnalysisInput, quantity: Quantity): boolean => {
  if (given === undefined || !('value' in quantity)) return false
  const solubilityRatio = coreSolubility(celsius(given.temperatureC)).central
  return quantity.ci95[0] > supplyLimit({ ...given, solubilityRatio }) + 0.1
}

const scaled = (spread: LogSpread | undefined, factor: number | undefined): LogSpread | undefined =>
  spread && factor !== undefined ? { ...spread, meanLog: spread.meanLog + Math.log(factor) } : undefined

/** What pure physics would hold at this batch's gas and temperature, mg/L. */
const equilibriumAt = (input: AnalysisInput, result: PhaseResult): number | undefined => {
  const { expectation: own } = input
  if (own === undefined) return undefined
  return coreSaturation({
    ...{ gas: own.gas, temperatureC: celsiusOf(input, result) ?? own.temperatureC },
    ...{ pressureKpa: own.pressureKpa ?? NORMAL_KPA, saline: own.fluid === 'saline' },
  }).central
}

const againstHistory = (
  { history }: AnalysisInput,
  about: Judged,
  quantity: Quantity,
  phase: number,
  equilibrium: number | undefined,
): Verdict[] => {
  const past: Partial<Record<Judged, LogSpread | undefined>> = {
    plateau_mg_l: scaled(history?.plateauOverEquilibrium, equilibrium),
    rate_per_min: history?.ratePerMin,
    half_life_20c_min: history?.halfLife20cMin,
  }
  const spread = past[about]
  if (history === undefined || spread === undefined) return []
  const band = bandOfNext(spread, history.batches)
  return [
    judge(
      { about, quantity, phase },
      {
        against: 'history',
        expected: band,
        sources: [`${history.batches} earlier batches of this clinic`],
      },
    ),
  ]
}
