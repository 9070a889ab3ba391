import { csvRow } from '../routes/csv.ts'
import type { TrialBatch, TrialView } from '../wire.ts'

type Point = TrialBatch['minutes']

const VALUES = [
  'minutes',
  'potency_off_mg_l',
  'potency_after_mg_l',
  'plateau_mg_l',
  'plateau_normal_mg_l',
  'half_life_20c_min',
] as const satisfies readonly (keyof TrialBatch)[]

const HEAD = [
  ...['trial', 'batch', 'bench', 'day', 'opened_at', 'fluid', 'lot', 'group', 'pooled', 'how'],
  ...['joined_why', 'excluded_why', 'off_plan', 'no_number', 'flags'],
  ...['temperature_c', 'gas_ug_per_nml', 'flow_ml_per_min', 'ozone_min'],
  ...VALUES.flatMap((name) => [name, `${name}_low`, `${name}_high`]),
]

/** Each batch of a trial as a row, those left out and off plan too; the answer stands in lines of comment above. */
export function* trialCsv(trial: TrialView): Generator<string> {
  const { result, with_excluded: all } = trial
  yield comment(`trial ${trial.id}: ${trial.title}`)
  if (trial.simulated) yield comment('SIMULATED')
  yield comment(`answer: ${result.answer}. ${result.sentence}`)
  if (all) yield comment(`with the batches left out: ${all.answer}. ${all.sentence}`)
  for (const caution of result.cautions) yield comment(caution)
  yield comment(`ledger: ${trial.ledger_entries} entries, head ${trial.ledger_head}`)
  yield csvRow(HEAD)
  for (const batch of trial.members) yield csvRow(rowOf(trial, batch))
}

const comment = (text: string): string => `# ${text.replaceAll(/\s+/g, ' ')}\r\n`

const rowOf = (trial: TrialView, b: TrialBatch): (string | number | null)[] => [
  ...[
    trial.id,
    b.number,
    b.bench,
    b.day,
    b.opened_at,
    b.fluid,
    b.lot,
    b.group,
    b.pooled ? 'yes' : 'no',
    b.how,
  ],
  ...[
    b.joined.why,
    b.excluded?.why ?? null,
    b.off_plan.join('; '),
    b.no_number.join('; '),
    b.flags.join('; '),
  ],
  ...[b.temperature_c, b.gas_ug_per_nml, b.flow_ml_per_min, b.ozone_min],
  ...VALUES.flatMap((name) => cells(b[name])),
]

const cells = (point: Point): (number | null)[] =>
  point === null ? [null, null, null] : [point.value, point.low, point.high]
