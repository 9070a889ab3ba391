import type { Verdict as AnalysedVerdict } from '../analysis/schema.ts'
import type { Verdict } from '../wire.ts'

interface Said {
  readonly about: Verdict['about']
  readonly text: string
  readonly unit: string
  readonly digits: number
}

const SAID: Readonly<Record<AnalysedVerdict['about'], Said>> = {
  plateau_mg_l: { about: 'plateau', text: 'levels off at', unit: 'µg/mL', digits: 1 },
  plateau_over_gas: { about: 'plateau', text: 'levels off over gas', unit: 'of the gas value', digits: 2 },
  plateau_over_equilibrium: {
    about: 'plateau',
    text: 'levels off over equilibrium',
    unit: 'of the equilibrium in pure water',
    digits: 2,
  },
  rate_per_min: { about: 'rate', text: 'rate', unit: 'per min', digits: 2 },
  t95_min: { about: 't95', text: 'time to 95 %', unit: 'min', digits: 1 },
  half_life_min: { about: 'half-life', text: 'half-life', unit: 'min', digits: 0 },
  half_life_20c_min: { about: 'half-life', text: 'half-life at 20 °C', unit: 'min', digits: 0 },
  above_target_min: { about: 'time-above-target', text: 'above the value set for', unit: 'min', digits: 0 },
  flow_ml_per_min: { about: 'flow', text: 'gas flow', unit: 'mL/min', digits: 0 },
}

const AGAINST = { expectation: 'physics', history: "this clinic's own batches" } as const

/** A verdict in one sentence, with its three answers kept apart. */
export const verdictOf = (v: AnalysedVerdict): Verdict => ({
  about: SAID[v.about].about,
  against: v.against,
  answer: v.outcome,
  text: `${sentence(v)}${v.rule?.physics === undefined ? '' : `. Physics: ${v.rule.physics}`}`,
  causes: v.causes ?? [],
})

const sentence = (v: AnalysedVerdict): string => {
  const said = SAID[v.about]
  const number = (n: number) => n.toFixed(said.digits)
  const band = v.expected ? `, ${number(v.expected.low)} to ${number(v.expected.high)} ${said.unit}` : ''
  const found = v.found === undefined ? said.text : `${said.text} ${number(v.found)} ${said.unit}`
  const other = otherSide(v)
  switch (v.outcome) {
    case 'agrees':
      return `${found}: agrees with ${other}${band}`
    case 'differs':
      return `${found}: ${v.by_percent === undefined ? '' : `${v.by_percent.toFixed(0)} % `}${v.direction ?? 'off'} ${other}${band}`
    case 'cannot-tell':
      return `${said.text}: cannot tell against ${other}${band}${v.why ? ` (${v.why.replaceAll('-', ' ')})` : ''}`
    default:
      return v.outcome satisfies never
  }
}

/** A single-number rule has a band of its own; a comparison with other batches speaks of the others. */
const otherSide = (v: AnalysedVerdict): string => {
  if (v.against !== 'rule-of-thumb') return AGAINST[v.against]
  return v.rule === undefined ? 'the rule of thumb' : `“${v.rule.words}” (${v.rule.origin})`
}
