import { ambientOf, toNormal } from '../model/gas-concentration.ts'
import { ABOUT, DEFAULT_RULES, type RangeRule } from '../model/rules-of-thumb.ts'
import type { ExpectedBand } from '../verdict/compare.ts'
import { aboveTarget } from './above-target.ts'
import type { BatchFits, PhaseResult } from './fit-batch.ts'
import type { AnalysisInput } from './input.ts'
import { type Held, judge } from './judge.ts'
import { pastVerdict } from './past-verdicts.ts'
import { ruleOf } from './rule-of.ts'
import type { Verdict } from './schema.ts'

/** Every rule of thumb that can be held against this batch: beside physics and history, labelled with who says so. */
export const thumbVerdicts = ({ input, results }: BatchFits): Verdict[] => {
  const rules = input.rulesOfThumb ?? DEFAULT_RULES
  return [
    ...rules.filter((rule) => rule.kind === 'range').flatMap((rule) => settingVerdict(input, rule)),
    ...results.flatMap((result, phase) =>
      rules.flatMap((rule) =>
        rule.kind === 'range'
          ? rangeVerdict(input, rule, result, phase)
          : pastVerdict(input, rule, result, phase),
      ),
    ),
  ]
}

const rangeVerdict = (
  input: AnalysisInput,
  rule: RangeRule,
  result: PhaseResult,
  phase: number,
): Verdict[] => {
  const met = meets(input, rule, result, phase)
  return met === undefined || !isAbout(rule, input)
    ? []
    : [
        judge(met.held, {
          against: 'rule-of-thumb',
          expected: met.expected,
          sources: [rule.origin],
          rule: ruleOf(rule),
        }),
      ]
}

/** A rule limited to some fluids says nothing of another, nor of one that was not recorded. */
const isAbout = ({ fluids }: RangeRule, { expectation }: AnalysisInput): boolean =>
  fluids === undefined || (expectation !== undefined && fluids.includes(expectation.fluid))

const bandOf = ({ low, high }: RangeRule, scale = 1): ExpectedBand => {
  const spread = low === high ? ABOUT : 0
  return {
    low: low * scale * (1 - spread),
    central: ((low + high) / 2) * scale,
    high: high * scale * (1 + spread),
  }
}

/** What of a phase a rule speaks about, and what it expects of it there. */
const meets = (
  input: AnalysisInput,
  rule: RangeRule,
  { report, ...result }: PhaseResult,
  phase: number,
): { held: Held; expected: ExpectedBand } | undefined => {
  const given = input.expectation
  const found = (about: Held['about'], quantity: Held['quantity'] | undefined, expected: ExpectedBand) =>
    quantity && { held: { about, quantity, phase }, expected }
  switch (rule.about) {
    case 'plateau_mg_l':
      return report.kind === 'rise' ? found('plateau_mg_l', report.plateau_mg_l, bandOf(rule)) : undefined
    case 'plateau_over_gas':
      return report.kind === 'rise' && given
        ? found('plateau_mg_l', report.plateau_mg_l, bandOf(rule, toNormal(given.gas, ambientOf(given))))
        : undefined
    case 'half_life_min':
      return report.kind === 'decay' ? found('half_life_min', report.half_life_min, bandOf(rule)) : undefined
    case 'prep_min_per_250_ml':
      return report.kind === 'rise' && given
        ? found('t95_min', report.t95_from_zero_min, bandOf(rule, given.volumeMl / 250))
        : undefined
    case 'refresh_after_min':
      return report.kind === 'decay' && result.kind === 'decay'
        ? found('above_target_min', aboveTarget(report, input.targetMgPerL), bandOf(rule))
        : undefined
    case 'flow_ml_per_min':
      return undefined
    default:
      return rule.about satisfies never
  }
}

/** A setting is known, not measured: it stands for itself once, with the first phase. */
const settingVerdict = (input: AnalysisInput, rule: RangeRule): Verdict[] => {
  const flow = input.expectation?.flowMlPerMin
  if (rule.about !== 'flow_ml_per_min' || flow === undefined || !isAbout(rule, input)) return []
  const held: Held = {
    about: 'flow_ml_per_min',
    quantity: { value: flow, se: 0, ci95: [flow, flow] },
    phase: 0,
  }
  return [
    judge(held, {
      against: 'rule-of-thumb',
      expected: bandOf(rule),
      sources: [rule.origin],
      rule: ruleOf(rule),
    }),
  ]
}
