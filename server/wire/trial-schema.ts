import { z } from 'zod'
import { text, trialPlan } from '../ledger/entry.ts'
import { time, typedName, value } from './basics-schema.ts'

/** Trials, as they are planned, carried out and shown. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

const deed = z.object({
  at: time,
  by: z.string(),
  how: z.enum(['typed', 'signed-in', 'program', 'unsigned']),
  why: z.string().nullable(),
})

/** A batch's own value with its 95 % interval; `high` null: only "at least" is known. */
const point = z.object({ value: z.number(), low: z.number(), high: value })

/** What batches came to together: geometric mean with its 95 % interval, and where the spread lies. */
export const trialSpread = z.object({
  batches: z.number(),
  mean: z.number(),
  low: z.number(),
  high: z.number(),
  between_percent: z.number().meta({ description: 'standard deviation from batch to batch (REML)' }),
  within_percent: z.number().meta({ description: 'typical standard error of one batch' }),
  i2_percent: z.number().meta({ description: 'part of the variance that lies between batches' }),
  q: z.number(),
  q_p: z.number(),
})

export const trialBound = z.object({
  side: z.enum(['upper', 'lower']),
  value: z.number(),
  with_calibration: z
    .number()
    .nullable()
    .meta({ description: 'the same with the calibration’s own uncertainty, common to all batches, in it' }),
  k: z.number(),
  batches: z.number(),
  spread_percent: z.number(),
})

const criterion = z.object({
  name: z.enum(['time', 'at-ozone-off', 'after-purge']),
  met: z.boolean().nullable().meta({ description: 'null: cannot be told' }),
  text: z.string(),
})

const measure = z.object({ spread: trialSpread.nullable(), bound: trialBound.nullable() })

export const prepTimeResult = z.object({
  kind: z.literal('prep-time'),
  minutes: measure,
  potency_off_mg_l: measure,
  potency_after_mg_l: measure,
  criteria: z.array(criterion),
  recommended_min: value.meta({ description: 'the upper bound, rounded up to half a minute' }),
  recommended_text: z.string().nullable(),
  costs: z
    .array(z.object({ confidence_percent: z.number(), batches: z.number(), minutes: z.number() }))
    .meta({ description: 'the bound with the spread seen, for other confidences and numbers of batches' }),
  beside: z
    .array(z.object({ what: z.string(), text: z.string() }))
    .meta({ description: 'rule of thumb and physics; they decide nothing' }),
  revalidate: z.array(z.string()),
})

const group = z.object({
  name: z.string(),
  batches: z.number(),
  days: z.number(),
  lots: z.array(z.string()),
  benches: z.array(z.string()),
  temperature_low_c: value,
  temperature_high_c: value,
  plateau_mg_l: trialSpread.nullable().meta({ description: 'brought to the plan’s gas and temperature' }),
  half_life_20c_min: trialSpread.nullable(),
})

const pair = z.object({
  measure: z.enum(['plateau', 'half-life']),
  first: z.string(),
  second: z.string(),
  answer: z.enum(['more', 'less', 'equivalent', 'not-shown', 'cannot-tell']),
  ratio: value.meta({ description: 'first over second' }),
  low: value,
  high: value,
  p: value.meta({ description: 'two-sided Welch test on the logarithms, Holm’s correction over all pairs' }),
  equivalence_p: value,
  within_margin: z.boolean(),
  sentence: z.string(),
  warnings: z.array(z.string()),
  reasons: z.array(z.string()).meta({ description: 'why it cannot be told; empty when it can' }),
})

export const comparisonResult = z.object({
  kind: z.literal('fluid-comparison'),
  groups: z.array(group),
  pairs: z.array(pair),
  batches_needed: value.meta({
    description: 'of each group, to find the margin 8 times in 10 with the spread seen',
  }),
})

const chart = z.object({
  name: z.string(),
  unit: z.string(),
  points: z.array(z.object({ batch: z.string(), number: z.string(), at: time, value: z.number() })),
  centre: z.number(),
  low: z.number(),
  high: z.number(),
  range_high: z.number(),
  outside: z.array(z.string()).meta({ description: 'numbers of batches outside the limits' }),
})

const answer = z.enum(['shown', 'not-shown', 'cannot-tell'])

export const trialResult = z.object({
  answer,
  sentence: z.string(),
  pooled: z.number(),
  days: z.number(),
  cautions: z.array(z.string()),
  detail: z.discriminatedUnion('kind', [prepTimeResult, comparisonResult]),
  charts: z.array(chart),
})

export const trialBatchView = z.object({
  id: z.uuid(),
  number: z.string(),
  bench: z.string(),
  day: z.string(),
  opened_at: time,
  fluid: z.string(),
  lot: z.string().nullable(),
  group: z.string().nullable(),
  how: z.enum(['opened', 'selected']),
  joined: deed,
  excluded: deed.nullable(),
  pooled: z.boolean(),
  off_plan: z.array(z.string()).meta({ description: 'why it is kept apart' }),
  no_number: z.array(z.string()).meta({ description: 'what could not be found of it, and why' }),
  flags: z.array(z.string()).meta({ description: 'lies apart from the others; nothing is removed for that' }),
  temperature_c: value,
  gas_ug_per_nml: value,
  flow_ml_per_min: value,
  ozone_min: value,
  minutes: point.nullable(),
  potency_off_mg_l: point.nullable(),
  potency_after_mg_l: point.nullable(),
  plateau_mg_l: point.nullable(),
  plateau_normal_mg_l: point.nullable(),
  half_life_20c_min: point.nullable(),
  rise: z.object({ plateau_mg_l: z.number(), rate_per_min: z.number(), until_min: z.number() }).nullable(),
  decay: z
    .object({ start_mg_l: z.number(), half_life_min: z.number(), order: z.number(), until_min: z.number() })
    .nullable(),
})

const planChange = z.object({
  ...deed.shape,
  batches_then: z.number(),
  changed: z.array(z.string()).meta({ description: 'each setting that changed, old and new' }),
})

/** GET /api/trials */
export const trialHead = z.object({
  id: z.uuid(),
  title: z.string(),
  kind: z.enum(['prep-time', 'fluid-comparison']),
  planned: deed,
  batches: z.number(),
  wanted: z.number(),
  closed: z.object({ ...deed.shape, answer, sentence: z.string() }).nullable(),
})

/** GET /api/trials/{id} */
export const trialView = z.object({
  ...trialHead.shape,
  plan: trialPlan,
  changes: z.array(planChange),
  run_order: z.array(z.object({ run: z.number(), day: z.number(), what: z.string() })),
  members: z.array(trialBatchView),
  result: trialResult,
  with_excluded: trialResult
    .nullable()
    .meta({ description: 'the same with the batches that were left out; null: none were' }),
  newest_seq: z.number(),
  simulated: z.boolean(),
  ledger_entries: z.number(),
  ledger_head: z.string(),
})

const change = {
  id: z
    .uuid()
    .toLowerCase()
    .meta({ description: 'made by the client (UUIDv7): the same again changes nothing' }),
  who: typedName,
}
const batch = z.uuid().toLowerCase()
const afterSeq = z.number().int().min(0).meta({ description: '`newest_seq` of the trial as seen' })

/** POST /api/trials/{id}: the client makes the id of the trial. */
export const planTrial = z.strictObject({ ...change, why: text(500).optional(), plan: trialPlan })
/** POST /api/trials/{id}/changes */
export const changeTrial = z.strictObject({
  ...change,
  why: text(500).optional(),
  after_seq: afterSeq,
  plan: trialPlan,
})
/** POST /api/trials/{id}/batches and /exclusions: always with the reason. */
export const trialBatchChange = z.strictObject({ ...change, why: text(500), batch })
/** POST /api/trials/{id}/closing */
export const closeTrial = z.strictObject({ ...change, why: text(500).optional(), after_seq: afterSeq })
