import { z } from 'zod'
import { text, trialPlan } from '../ledger/entry.ts'
import { time, typedName, value } from './basics-schema.ts'
import { trialAnswer, trialResult } from './trial-result-schema.ts'

/** Trials, as they are planned, carried out and shown. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

const deed = z.object({
  at: time,
  by: z.string(),
  how: z.enum(['typed', 'signed-in', 'program', 'unsigned']),
  why: z.string().nullable(),
})

/** A batch's own value with its 95 % interval; `high` null: only "at least" is known. */
const point = z.object({ value: z.number(), low: z.number(), high: value })

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
  rise_sd_mg_l: value.meta({ description: 'scatter of its readings about the fit' }),
  decay_sd_mg_l: value,
})

const planChange = z.object({
  ...deed.shape,
  batches_then: z.number(),
  changed: z.array(z.string()).meta({ description: 'each setting that changed, old and new' }),
})

const plannedRun = z.object({
  run: z.number(),
  day: z.number(),
  what: z.string(),
  bench: z.string().nullable().meta({ description: 'null: any bench' }),
  group: z.string().nullable().meta({ description: 'of a comparison' }),
})

/** GET /api/trials */
export const trialHead = z.object({
  id: z.uuid(),
  title: z.string(),
  kind: z.enum(['prep-time', 'fluid-comparison']),
  planned: deed,
  plan: trialPlan,
  batches: z.number(),
  wanted: z.number(),
  next: plannedRun
    .nullable()
    .meta({ description: 'next batch of the run order; null: all are there, or closed' }),
  closed: z.object({ ...deed.shape, answer: trialAnswer, sentence: z.string() }).nullable(),
})

const calibrated = z.object({
  instrument: z.string(),
  benches: z.array(z.string()),
  at: time,
  method: z.string(),
  slope: z.number(),
  zero: z.number(),
  u_slope_percent: z.number(),
  batches: z.array(z.string()).meta({ description: 'numbers of those that rest on it' }),
})

/** GET /api/trials/{id} */
export const trialView = z.object({
  ...trialHead.shape,
  changes: z.array(planChange),
  run_order: z.array(
    plannedRun.extend({
      batch: z.string().nullable().meta({ description: 'number of the batch made for it' }),
      in_turn: z.boolean().nullable(),
    }),
  ),
  instruments: z.array(calibrated).meta({ description: 'calibrations the batches rest on' }),
  uncalibrated: z.array(z.string()).meta({ description: 'numbers of batches without a calibration' }),
  members: z.array(trialBatchView),
  result: trialResult,
  with_excluded: trialResult
    .nullable()
    .meta({ description: 'the same with the batches that were left out; null: none were' }),
  to_do: z
    .array(z.string())
    .meta({ description: 'what would make the answer possible; empty unless it cannot be told' }),
  over_volume: z
    .array(
      z.object({
        trial: z.uuid(),
        title: z.string(),
        volume_ml: z.number(),
        prep_min: z.number().meta({ description: 'planned' }),
        typical_min: z.number().meta({ description: 'geometric mean of its batches' }),
        bound_min: z.number().meta({ description: 'tolerance bound, calibration in it' }),
        batches: z.number(),
        answer: trialAnswer,
      }),
    )
    .meta({
      description: 'trials of the same fluid and setting, this one among them, by volume; empty: one only',
    }),
  newest_seq: z.number(),
  simulated: z.boolean(),
  ledger_entries: z.number(),
  ledger_head: z.string(),
})

/** Instead of the trial, with status 202: it is not worked out yet; ask again. */
export const trialWorking = z.object({
  working: z.object({ done: z.number(), of: z.number() }),
})

const curve = z.object({
  minutes: z.array(z.number()),
  mean: z.array(z.number()),
  low: z.array(z.number()),
  high: z.array(z.number()),
  seen: z
    .array(z.tuple([z.number(), z.number(), z.number()]))
    .meta({ description: 'some of its readings: minutes, mg/L, and reading less fit, mg/L' }),
})

/** GET /api/trials/{id}/curves: from ozone-on and from flow-off, with the 95 % band of each curve. */
export const trialCurves = z.array(
  z.object({
    id: z.uuid(),
    number: z.string(),
    group: z.string().nullable(),
    pooled: z.boolean(),
    rise: curve.nullable(),
    decay: curve.nullable(),
  }),
)

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
