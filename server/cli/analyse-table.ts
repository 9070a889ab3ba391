import type { Quantity } from '../analysis/quantity-schema.ts'
import type { AnalysedPhase, Analysis } from '../analysis/schema.ts'
import { verdictOf } from '../live/verdict-words.ts'

const LABELS: Record<string, string> = {
  plateau_mg_l: 'levels off at, mg/L',
  fraction_of_plateau: 'fraction of that reached',
  rate_per_min: 'rate, 1/min',
  t95_min: 't95, min',
  t95_from_zero_min: 't95 from zero, min',
  start_mg_l: 'at the start, mg/L',
  end_mg_l: 'at the end, mg/L',
  lost_fraction: 'lost fraction',
  half_life_min: 'half-life, min',
  half_life_20c_min: 'half-life at 20 °C, min',
  step_fraction: 'step at flow-off, fraction',
  order: 'order',
  residual_sd_mg_l: 'scatter of readings, mg/L',
  n: 'readings used',
  n_eff: 'worth independent readings',
}

/** The analysis for reading in a terminal. Nothing is in it that the JSON document does not hold. */
export const analysisTable = (analysis: Analysis): string =>
  [
    `${analysis.readings} readings, ${aside(analysis)} set aside`,
    ...(analysis.rows === undefined ? [] : [rowsLine(analysis.rows)]),
    ...analysis.phases.flatMap(phaseLines),
    ...forecastLines(analysis),
    ...decisionLines(analysis),
    ...verdictLines(analysis),
    ...analysis.notes.map((n) => `note: ${n}`),
    '',
  ].join('\n')

const aside = ({ set_aside }: Analysis): number => set_aside.reduce((sum, s) => sum + (s.count ?? 1), 0)

const rowsLine = (rows: NonNullable<Analysis['rows']>): string =>
  `${rows.read} rows: ${rows.empty_cells} without a reading, ${rows.out_of_order} out of order, ${rows.doubled} doubled`

const phaseLines = (phase: AnalysedPhase): string[] => [
  '',
  `${phase.kind}  ${phase.start} to ${phase.end}  ${phase.status}${phase.why === undefined ? '' : `: ${phase.why}`}`,
  ...Object.entries(phase).flatMap(([key, value]) => {
    const label = LABELS[key]
    return label === undefined || value === undefined
      ? []
      : [`  ${label.padEnd(28)} ${shown(value as Quantity | number)}`]
  }),
  ...phase.notes.map((n) => `  note: ${n}`),
]

const shown = (value: Quantity | number): string => {
  if (typeof value === 'number') return plain(value)
  if ('at_least' in value) return `at least ${plain(value.at_least)} (${value.why})`
  if ('at_most' in value) return `at most ${plain(value.at_most)} (${value.why})`
  return `${plain(value.value)}  (95 %: ${plain(value.ci95[0])} to ${plain(value.ci95[1])})`
}

const plain = (value: number): string => String(Number(value.toPrecision(4)))

const forecastLines = ({ forecast }: Analysis): string[] => {
  if (forecast === undefined) return []
  if ('refused' in forecast)
    return ['', `target ${forecast.target_mg_l} mg/L: no forecast: ${forecast.refused}`]
  return [
    '',
    `target ${forecast.target_mg_l} mg/L: reached at ${forecast.reaches_target_at}, at the earliest ${forecast.early_bound_at} (${forecast.basis})`,
    ...forecast.notes.map((n) => `  note: ${n}`),
  ]
}

const DECISION = {
  above: 'above the target',
  below: 'below the target',
  'too-close': 'too close to say',
  'not-calibrated': 'not calibrated: nothing is said of above or below',
} as const

const decisionLines = ({ decision }: Analysis): string[] =>
  decision === undefined
    ? []
    : [
        `at the end: ${DECISION[decision.word]} (one-sided 95 % bounds ${plain(decision.lower_mg_l)} and ${plain(decision.upper_mg_l)} mg/L)`,
      ]

const ANSWER = { agrees: 'agrees', differs: 'DIFFERS', 'cannot-tell': 'cannot tell' } as const

const verdictLines = ({ verdicts }: Analysis): string[] =>
  verdicts.length === 0
    ? []
    : [
        '',
        ...verdicts.flatMap((v) => [
          `${ANSWER[v.outcome].padEnd(12)} ${verdictOf(v).text}`,
          ...(v.causes ?? []).map((cause) => `${' '.repeat(15)}could be: ${cause}`),
        ]),
      ]
