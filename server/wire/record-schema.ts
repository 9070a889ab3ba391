import { z } from 'zod'
import { entrySchema } from '../ledger/entry.ts'
import { estimate, time, value } from './basics-schema.ts'
import { batchHead, fitSummary, verdict } from './bench-schema.ts'
import { curves } from './chart-schema.ts'
import { deliveryHealth } from './delivery-schema.ts'
import { review } from './people-schema.ts'

/** Batches of the past, instruments, and what the program itself is doing. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

export const refusedReading = z.object({ seq: z.number(), series: z.string(), at: time, words: z.string() })

export const refusedReadings = z.object({
  count: z.number().meta({ description: 'all that are on the list, on this page or not' }),
  readings: z.array(refusedReading),
})

/** Where readings (or entries of the record) are sent on to, and how far that is. Null where they stay on this machine. */
const forwarding = z.object({
  place: z.string().nullable(),
  proved: z
    .boolean()
    .meta({ description: 'false where the program was never tested against a live server of this version' }),
  alive: z.boolean(),
  state: z.enum(['never-ran', 'sending', 'up-to-date', 'waiting', 'not-let-in', 'stopped']),
  why: z.string().nullable(),
  waiting: z
    .number()
    .meta({ description: 'readings, or entries, that the other place has not acknowledged' }),
  oldest_waiting_s: z.number().nullable(),
  refused: z.number().meta({ description: 'those that the other place will not take; they are stored here' }),
  last_refused: z.array(refusedReading).meta({ description: 'the newest; all: /api/forwarding/refused' }),
})

/** How large the files are, how fast they grow, and for how long the disk will do. */
const store = z.object({
  readings: z.number(),
  readings_file_bytes: z.number(),
  ledger_file_bytes: z.number(),
  free_in_file_bytes: z.number().meta({ description: 'used again before the file of readings grows' }),
  bytes_per_reading: z.number().nullable(),
  readings_per_day: z.number().nullable().meta({ description: 'by the last whole hours, at most a day' }),
  not_rolled_up: z
    .number()
    .meta({ description: 'older readings that long ranges still read one by one; done in the background' }),
  keep_raw_days: z.number().nullable().meta({ description: 'null: raw readings are kept for ever' }),
  results_kept_before: time.nullable().meta({
    description:
      'raw readings from before are removed, when they are old enough: the results of their batches are kept; null: none are removed, or no results are kept yet',
  }),
  disk_free_bytes: z.number(),
  disk_total_bytes: z.number(),
  disk_full_at: time.nullable().meta({ description: 'at the present rate' }),
  disk_nearly_full: z.boolean(),
})

export const health = z.object({
  status: z.enum(['working', 'degraded']),
  version: z.string(),
  simulated: z.boolean(),
  at: time,
  uptime_s: z.number(),
  wiring: z.object({
    refused: z
      .string()
      .nullable()
      .meta({ description: 'why a changed wiring file is not in force; null when it is' }),
  }),
  rules_of_thumb: z.object({
    entries: z.number(),
    fault: z.string().nullable().meta({ description: 'what is wrong with the clinic’s file of rules' }),
  }),
  daemon: z.object({ seen_at: time.nullable(), alive: z.boolean(), readings_seq: z.number() }),
  ledger: z.object({ entries: z.number(), head: z.string() }),
  store,
  forwarding: forwarding.nullable(),
  record_mirror: forwarding.nullable().meta({
    description: 'the same of the entries of the record; null where they stay on this machine',
  }),
  delivery: deliveryHealth,
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

export const healthCheck = health.pick({ status: true }).extend({
  logging: z.boolean().meta({ description: 'false: the logging program is silent; the answer is a 503' }),
})

export const batchSummary = z.object({
  head: batchHead,
  plateau_mg_l: estimate.nullable(),
  t95_min: estimate.nullable(),
  half_life_min: estimate.nullable(),
  half_life_20c_min: estimate.nullable(),
  mean_temperature_c: value,
  bubbling_temperature_c: value.optional().meta({
    description: 'mean while it was first bubbled; left out in results kept before it was worked out',
  }),
  measured_against: z.array(z.string()).meta({
    description: 'kinds of reference its values rest on; concentrations of different ones are not compared',
  }),
  pending: z.boolean().optional().meta({
    description:
      'true: not worked out yet, nothing but its head is known; ask again (only with `patience_ms`)',
  }),
})

/** What the numbers of a record rest on, and the command that works them out again. */
const workedFrom = z.object({
  program: z.string(),
  analysis: z.string(),
  ledger_entries: z.number(),
  readings_seq: z.number().meta({ description: 'readings with at most this arrival number count' }),
  at: time.meta({ description: 'the moment it was worked out; matters for a batch not discarded yet' }),
  meter: z.string().nullable(),
  readings: z.number(),
  set_aside: z.number(),
  temperature_readings: z.number(),
  calibrations: z
    .array(
      z.object({
        at: time.meta({ description: 'it counts for readings from here on' }),
        entered_at: time,
        method: z.string(),
        slope: z.number(),
        zero_mg_l: z.number(),
        u_slope_percent: z.number(),
        u_zero_mg_l: z.number(),
        readings: z.number().meta({ description: 'usable readings since ozone-on it was in force for' }),
        compensation: z
          .string()
          .nullable()
          .meta({ description: 'what the meter corrects for temperature; null: the probe does not need it' }),
        fluid_factor: z.object({ low: z.number(), high: z.number() }).meta({
          description:
            'what values were multiplied by for another fluid or temperature than the calibration’s',
        }),
      }),
    )
    .meta({ description: 'each in force when those readings were taken, in order of time' }),
  uncalibrated_readings: z.number(),
  readings_not_for_this_fluid: z
    .number()
    .meta({ description: 'uncalibrated because the calibration is for a fluid of other or unknown salt' }),
  readings_not_for_this_temperature: z
    .number()
    .meta({ description: 'uncalibrated because the calibration cannot be carried to that temperature' }),
  probe_lag_s: z.object({ tau: z.number(), u: z.number() }).nullable(),
  full_scale_mg_l: value,
  earlier_batches: z.number(),
  earlier_batches_other_reference: z.number().meta({
    description:
      'of those: their plateaus are left out, because they were measured against another reference',
  }),
  input_sha256: z.string(),
  command: z.string(),
})

export const batchRecord = z.object({
  summary: batchSummary,
  entries: z.array(entrySchema),
  fits: z.array(fitSummary),
  verdicts: z.array(verdict),
  notes: z.array(z.string()).meta({ description: 'what the analysis says of the batch as a whole' }),
  gaps: z.array(z.object({ from: time, to: time })),
  readings_removed_before: time.nullable().meta({
    description:
      'raw readings of this batch before this moment were removed by the setting keep_raw_days: what is worked out from them is as kept, or missing',
  }),
  results_kept: z
    .object({
      at: time,
      newer_entries: z.boolean().meta({
        description: 'entries or calibrations were made since, which these results know nothing of',
      }),
    })
    .nullable()
    .meta({ description: 'the results shown were worked out then; the readings have since been removed' }),
  calibration: z.object({ at: time, method: z.string() }).nullable(),
  review: review
    .nullable()
    .meta({ description: 'the newest; null: nobody has put their name to this record' }),
  ledger_head: z.string(),
  ledger_entries: z.number(),
  worked_from: workedFrom,
  curves: curves,
})
