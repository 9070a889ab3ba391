import { z } from 'zod'
import { sheetStep } from '../ledger/method-sheet-entry.ts'
import { estimate, time, value } from './basics-schema.ts'

/** One bench as every screen sees it, and the site around it. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

export const site = z.object({
  name: z.string(),
  zone: z.string().meta({ description: 'IANA time zone of the site; screens show this zone' }),
  simulated: z.boolean().meta({ description: 'true: every number here comes from a simulation' }),
  version: z.string(),
  benches: z.array(z.object({ id: z.string(), name: z.string(), simulated: z.boolean() })),
})

/** `live` is the only state in which `value_mg_l` is a present measurement. */
export const potency = z.object({
  state: z.enum([
    'live',
    'stale',
    'fault',
    'clipped',
    'below-range',
    'probe-out',
    'settling',
    'by-hand',
    'no-reading',
  ]),
  value_mg_l: value,
  low_mg_l: value.meta({ description: '95 % band, calibration included when there is one' }),
  high_mg_l: value,
  at: time.nullable(),
  age_s: z.number().nullable(),
  stale_after_s: z.number(),
  calibration: z.object({ at: time, method: z.string() }).nullable(),
  uncalibrated_why: z.string().optional().meta({
    description: 'plain words, where a calibration is on file that is not for this fluid',
  }),
  taken: z.enum(['kit', 'meter']).optional().meta({
    description:
      'of a single reading (`by-hand`, `stale`): typed in, or settled and taken with the wired meter',
  }),
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
  temperature_c: value.meta({ description: 'planned for the fluid' }),
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
  method_sheet: z
    .object({
      sheet: z.uuid(),
      version: z.number(),
      name: z.string(),
      steps: z.array(sheetStep),
      mark_ml: value,
    })
    .nullable()
    .meta({ description: 'the version it was opened by, as it was then; null: without a method sheet' }),
  bubbled_again: z.object({
    times: z.number().meta({ description: 'ozone on after the flow had been off' }),
    ozone_min: z.number().meta({
      description: 'minutes of ozone in all, the first bubbling included, up to the newest ozone-on or -off',
    }),
    most_times: value.meta({ description: 'null: the method sheet does not allow it, or there is none' }),
    most_ozone_min: value,
    why_not: z.string().nullable().meta({ description: 'why it may not be bubbled again; null: it may' }),
  }),
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
  about: z.enum(['plateau', 'rate', 't95', 'half-life', 'time-above-target', 'flow']),
  against: z.enum(['expectation', 'rule-of-thumb', 'history']),
  answer: z.enum(['agrees', 'differs', 'cannot-tell']),
  text: z.string(),
  causes: z.array(z.string()),
})

export const alarmView = z.object({
  key: z.string().meta({
    description: 'bench and alarm, for example A:potency-below-target; site:NAME where the bench is null',
  }),
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
  shelved_until: time.nullable(),
  may_be_shelved: z.boolean(),
})

export const nextStep = z.object({
  text: z.string(),
  action: z
    .enum(['open', 'ozone-on', 'ozone-off', 'flow-off', 'spot-reading', 'draw-up', 'discard', 'wait'])
    .nullable(),
})

export const decision = z.enum([
  'above',
  'below',
  'too-close-to-say',
  'not-calibrated',
  'no-target',
  'no-value',
])

const companion = z.object({
  channel: z.enum(['gas-ozone', 'gas-flow', 'barometric-pressure', 'ph', 'conductivity', 'redox-potential']),
  unit: z.string(),
  value,
  state: z.enum(['live', 'stale', 'fault']),
  at: time,
})

export const liveBench = z.object({
  bench: z.string(),
  name: z.string(),
  simulated: z.boolean(),
  metered: z.boolean().meta({ description: 'false: no meter is wired to this bench, values are typed in' }),
  spot_mode: z.boolean().meta({
    description: 'true: the meter is dipped now and then; between spot readings it does not see the fluid',
  }),
  at: time.meta({ description: 'server time of this message' }),
  potency,
  temperature,
  room_ozone_ppm: value,
  companions: z
    .array(companion)
    .meta({ description: 'what is measured beside the fluid, where it is wired' }),
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
  notes: z.array(z.string()).meta({ description: 'what the analysis says of the batch as a whole' }),
  next_step: nextStep,
  offer: z
    .object({ kind: z.enum(['ozone-on', 'ozone-off', 'flow-off']), at: time })
    .nullable()
    .meta({ description: 'a change the signal or the gas shows and nobody entered' }),
  ozone_off_at_planned: time.nullable(),
  vented_mg: value,
  batch_mg: value.meta({ description: 'dissolved ozone in what is left, mg' }),
  alarms: z.array(alarmView),
})
