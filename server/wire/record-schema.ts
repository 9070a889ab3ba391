import { z } from 'zod'
import { entrySchema } from '../ledger/entry.ts'
import { estimate, time, value } from './basics-schema.ts'
import { batchHead, fitSummary, verdict } from './bench-schema.ts'
import { curves } from './chart-schema.ts'

/** Batches of the past, instruments, and what the program itself is doing. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

export const health = z.object({
  status: z.enum(['working', 'degraded']),
  version: z.string(),
  simulated: z.boolean(),
  at: time,
  uptime_s: z.number(),
  rules_of_thumb: z.object({
    entries: z.number(),
    fault: z.string().nullable().meta({ description: 'what is wrong with the clinic’s file of rules' }),
  }),
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
  calibration: z
    .object({
      at: time,
      method: z.string(),
      slope: z.number(),
      zero_mg_l: z.number(),
      u_slope_percent: z.number(),
      u_zero_mg_l: z.number(),
    })
    .nullable(),
  probe_lag_s: z.object({ tau: z.number(), u: z.number() }).nullable(),
  full_scale_mg_l: value,
  earlier_batches: z.number(),
  input_sha256: z.string(),
  command: z.string(),
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
  worked_from: workedFrom,
  curves: curves,
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
