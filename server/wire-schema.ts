import { z } from 'zod'
import {
  batchOpened,
  calibration,
  drawnUp,
  entrySchema,
  handReading,
  note,
  stepTicked,
  text,
} from './ledger/entry.ts'

/**
 * What crosses the wire, once: these schemas validate requests, generate the OpenAPI description and give
 * the web its types (`wire.ts`). Units are in the names; times are ISO 8601 in UTC; null means "no value".
 */

const time = z.iso.datetime()
const value = z.number().nullable()

export const qualityName = z.enum([
  'good',
  'clipped',
  'out-of-range',
  'fault',
  'implausible-rate',
  'settling',
  'probe-out',
  'hand-entered',
  'stale-instrument',
])

export const site = z.object({
  name: z.string(),
  zone: z.string().meta({ description: 'IANA time zone of the site; screens show this zone' }),
  simulated: z.boolean().meta({ description: 'true: every number here comes from a simulation' }),
  version: z.string(),
  benches: z.array(z.object({ id: z.string(), name: z.string(), simulated: z.boolean() })),
})

/** `live` is the only state in which `value_mg_l` is a present measurement. */
export const potency = z.object({
  state: z.enum(['live', 'stale', 'fault', 'clipped', 'probe-out', 'settling', 'by-hand', 'no-reading']),
  value_mg_l: value,
  low_mg_l: value.meta({ description: '95 % band, calibration included when there is one' }),
  high_mg_l: value,
  at: time.nullable(),
  age_s: z.number().nullable(),
  stale_after_s: z.number(),
  calibration: z.object({ at: time, method: z.string() }).nullable(),
  why: z.string().nullable().meta({ description: 'plain words for a state other than live' }),
  lag_s: value.meta({
    description: 'the value is corrected for this response time of the probe; null when it is not known',
  }),
  full_scale_mg_l: value,
})

export const temperature = z.object({
  state: z.enum(['live', 'stale', 'fault', 'no-reading']),
  celsius: value,
  at: time.nullable(),
})

export const phase = z.object({
  kind: z.enum(['no-batch', 'set-up', 'bubbling', 'purge', 'standing', 'discarded']),
  since: time.nullable(),
})

export const batchHead = z.object({
  id: z.uuid(),
  number: z.string().meta({ description: 'a number people can say: bench-date-n' }),
  bench: z.string(),
  fluid: z.enum(['saline', 'distilled', 'filtered', 'other']),
  fluid_detail: z.string().nullable(),
  lot: z.string().nullable(),
  volume_ml: z.number(),
  left_ml: z.number(),
  target_mg_l: value,
  gas: z.object({ ug_per_ml: z.number(), reference: z.string() }).nullable(),
  flow_ml_per_min: value,
  prep_min: value,
  age_limit_min: value,
  lead_time_min: value,
  measuring_place: z.string(),
  purge: z.string(),
  opened_at: time,
  opened_by: z.string(),
  ozone_on_at: z.array(time),
  ozone_off_at: z.array(time),
  flow_off_at: z.array(time),
  discarded_at: time.nullable(),
  simulated: z.boolean(),
  phase,
  seq: z.number().int().meta({ description: 'sequence of its newest entry; send as expected_seq' }),
  missing: z.array(z.string()).meta({ description: 'details not recorded yet, in plain words' }),
})

export const estimate = z.object({
  value: z.number().nullable(),
  low: z.number().nullable(),
  high: z.number().nullable(),
  bound: z.enum(['at-least', 'at-most']).nullable(),
  why: z.string().nullable(),
})

export const fitSummary = z.object({
  kind: z.enum(['rise', 'purge', 'decay']),
  status: z.enum(['fitted', 'bounded', 'refused']),
  why: z.string().nullable(),
  start: time,
  end: time,
  plateau_mg_l: estimate.nullable(),
  rate_per_min: estimate.nullable(),
  t95_min: estimate.nullable(),
  half_life_min: estimate.nullable(),
  half_life_20c_min: estimate.nullable(),
  lost_percent: estimate.nullable(),
  fraction_of_plateau: z.number().nullable(),
  order: z.number().nullable(),
  residual_sd_mg_l: z.number().nullable(),
  n: z.number(),
  n_eff: z.number().nullable(),
  notes: z.array(z.string()),
})

export const forecast = z.object({
  state: z.enum(['counting', 'if-off-now', 'no-target', 'below-target', 'cannot-tell']),
  target_mg_l: value,
  reaches_target_at: time.nullable(),
  early_bound_at: time
    .nullable()
    .meta({ description: 'one-sided 95 %: the time alarms and the countdown use' }),
  latest_at: time.nullable(),
  basis: z.enum(['readings', 'history', 'expectation', 'none']),
  why: z.string().nullable(),
})

export const verdict = z.object({
  about: z.enum(['plateau', 'rate', 't95', 'half-life']),
  against: z.enum(['expectation', 'rule-of-thumb', 'history']),
  answer: z.enum(['agrees', 'differs', 'cannot-tell']),
  text: z.string(),
  causes: z.array(z.string()),
})

export const alarmView = z.object({
  key: z.string().meta({ description: 'bench and alarm, for example A:potency-below-target' }),
  alarm: z.string(),
  bench: z.string().nullable(),
  batch: z.uuid().nullable(),
  priority: z.enum(['high', 'medium', 'low']),
  state: z.enum([
    'normal',
    'unacknowledged',
    'acknowledged',
    'returned-unacknowledged',
    'shelved',
    'suppressed-by-design',
    'out-of-service',
  ]),
  since: time,
  text: z.string(),
  what_to_do: z.string(),
  acknowledged_by: z.string().nullable(),
  acknowledged_at: time.nullable(),
})

export const nextStep = z.object({
  text: z.string(),
  action: z.enum(['open', 'ozone-on', 'ozone-off', 'flow-off', 'draw-up', 'discard', 'wait']).nullable(),
})

export const decision = z.enum([
  'above',
  'below',
  'too-close-to-say',
  'not-calibrated',
  'no-target',
  'no-value',
])

export const liveBench = z.object({
  bench: z.string(),
  name: z.string(),
  simulated: z.boolean(),
  metered: z.boolean().meta({ description: 'false: no meter is wired to this bench, values are typed in' }),
  at: time.meta({ description: 'server time of this message' }),
  potency,
  temperature,
  room_ozone_ppm: value,
  batch: batchHead.nullable(),
  phase,
  decision,
  estimate_now: z
    .object({
      low_mg_l: z.number(),
      high_mg_l: z.number(),
      basis: z.enum(['readings', 'history', 'expectation']),
    })
    .nullable()
    .optional()
    .meta({ description: 'between readings by hand: 95 % range of what is there now, never a measurement' }),
  fits: z.array(fitSummary),
  forecast,
  verdicts: z.array(verdict),
  next_step: nextStep,
  ozone_off_at_planned: time.nullable(),
  vented_mg: value,
  batch_mg: value.meta({ description: 'dissolved ozone in what is left, mg' }),
  alarms: z.array(alarmView),
})

const point = z
  .tuple([z.number(), value])
  .meta({ description: '[minutes from origin, mg/L or null for a gap]' })
const bandPoint = z.tuple([z.number(), z.number(), z.number()]).meta({ description: '[minutes, low, high]' })

/** Everything the chart draws besides live readings. Minutes count from `origin`. */
export const curves = z.object({
  bench: z.string(),
  batch: z.uuid().nullable(),
  origin: time,
  fit: z.array(point),
  fit_band: z.array(bandPoint),
  forecast: z.array(point),
  forecast_band: z.array(bandPoint),
  expectation_band: z.array(bandPoint),
  expectation_text: z.string().nullable(),
  by_hand: z.array(point).meta({ description: 'values typed in, where no meter sends any' }),
  target_mg_l: value,
  marks: z.array(z.object({ at_min: z.number(), text: z.string() })),
})

/** One plot column: exact least and greatest of the readings with a number in it, and how many had none. */
export const envelopePoint = z.object({
  time_us: z.number(),
  min: value,
  max: value,
  mean: value,
  count: z.number(),
  not_good: z.number(),
})

export const readingsAnswer = z.object({
  bench: z.string(),
  channel: z.string(),
  unit: z.string(),
  from: time,
  to: time,
  calibrated: z.boolean(),
  points: z.array(envelopePoint),
})

/** Readings that have just become durable. */
export const liveReadings = z.object({
  bench: z.string(),
  channel: z.string(),
  readings: z
    .array(z.tuple([z.number(), value, qualityName]))
    .meta({ description: '[time_us, value, quality]' }),
})

export const health = z.object({
  status: z.enum(['working', 'degraded']),
  version: z.string(),
  simulated: z.boolean(),
  at: time,
  uptime_s: z.number(),
  daemon: z.object({ seen_at: time.nullable(), alive: z.boolean(), readings_seq: z.number() }),
  ledger: z.object({ entries: z.number(), head: z.string() }),
  ports: z.array(
    z.object({
      port: z.string(),
      state: z.string(),
      why: z.string().nullable(),
      frames: z.number(),
      readings: z.number(),
      discarded: z.number(),
      last_reading_at: time.nullable(),
    }),
  ),
})

export const batchSummary = z.object({
  head: batchHead,
  plateau_mg_l: estimate.nullable(),
  t95_min: estimate.nullable(),
  half_life_min: estimate.nullable(),
  half_life_20c_min: estimate.nullable(),
  mean_temperature_c: value,
})

export const batchRecord = z.object({
  summary: batchSummary,
  entries: z.array(entrySchema),
  fits: z.array(fitSummary),
  verdicts: z.array(verdict),
  gaps: z.array(z.object({ from: time, to: time })),
  calibration: z.object({ at: time, method: z.string() }).nullable(),
  ledger_head: z.string(),
  ledger_entries: z.number(),
  analysis_version: z.string(),
  curves: curves,
})

/** What a person may enter. The server fills in number, amounts left and the value at draw. */
export const action = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('batch-opened'), data: batchOpened }),
  z.strictObject({ kind: z.literal('step-ticked'), data: stepTicked }),
  z.strictObject({ kind: z.literal('ozone-on') }),
  z.strictObject({ kind: z.literal('ozone-off') }),
  z.strictObject({ kind: z.literal('flow-off') }),
  z.strictObject({ kind: z.literal('disconnected') }),
  z.strictObject({ kind: z.literal('probe-in') }),
  z.strictObject({ kind: z.literal('probe-out') }),
  z.strictObject({ kind: z.literal('drawn-up'), data: drawnUp }),
  z.strictObject({ kind: z.literal('discarded') }),
  z.strictObject({ kind: z.literal('reading-by-hand'), data: handReading }),
  z.strictObject({ kind: z.literal('note'), data: note }),
  z.strictObject({ kind: z.literal('undone'), data: z.strictObject({ entry: z.uuid().toLowerCase() }) }),
])

/** POST /api/batches/{id}/entries */
export const act = z.strictObject({
  id: z.uuid().toLowerCase().meta({
    description: 'made by the client (UUIDv7), read without regard to case: sending it again changes nothing',
  }),
  bench: z.string().min(1).max(40),
  who: text(60).meta({ description: 'name as typed' }),
  happened_at: time.optional().meta({ description: 'now when left out; never in the future' }),
  expected_seq: z.number().int().nonnegative(),
  why: text(500).optional(),
  entry: action,
})

/** POST /api/alarms/{key}/acknowledgement */
export const acknowledge = z.strictObject({
  id: z.uuid(),
  who: text(60),
  why: text(500).optional(),
})

/** POST /api/calibrations */
export const calibrate = z.strictObject({
  id: z.uuid().toLowerCase(),
  who: text(60),
  happened_at: time.optional(),
  data: calibration,
})

export const acted = z.object({
  entry: entrySchema,
  head: batchHead,
  undo_until: time.nullable().meta({ description: 'until then an `undone` entry takes it back' }),
})

/** RFC 9457. `entries` holds the newer entries on a 409. */
export const problem = z.object({
  type: z.string(),
  title: z.string(),
  status: z.number(),
  detail: z.string(),
  fix: z.string().optional(),
  entries: z.array(entrySchema).optional(),
})

export const instrument = z.object({
  instrument: z.string(),
  bench: z.string(),
  port: z.string(),
  channels: z.array(
    z.object({ channel: z.string(), unit: z.string(), last_value: value, last_at: time.nullable() }),
  ),
  calibration: z.object({ at: time, method: z.string(), tau_s: value }).nullable(),
})
