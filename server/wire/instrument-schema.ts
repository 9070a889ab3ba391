import { z } from 'zod'
import { CHECKED_KINDS, OUTCOMES } from '../ledger/calibration-entry.ts'
import { time, value } from './basics-schema.ts'

/** Instruments, how they were calibrated and checked, and what is in doubt since. Times are ISO 8601 in UTC. */

const outcome = z.enum([...OUTCOMES, 'no-limit'])

/** Furthest a point lies from the line; null: fewer than three levels, or no limit given. */
export const linearityFound = z
  .object({ word: z.enum(OUTCOMES), furthest_percent: z.number(), u_percent: z.number() })
  .nullable()

const pastCalibration = z.object({
  at: time,
  entered_at: time.meta({ description: 'later than `at` where it was dated back' }),
  by: z.string(),
  method: z.string(),
  reference_method: z.string().nullable(),
  slope: z.number(),
  u_slope_percent: z.number(),
  zero: z.number(),
  u_zero: z.number(),
  tau_s: value,
  temperature_c: value,
  compensation: z.string().nullable(),
  fluid: z.string().nullable(),
  certificate: z.string().nullable(),
  due_at: time.nullable(),
  as_found_percent: value.meta({
    description: 'off the reference before, with the calibration in force until then',
  }),
  as_left_percent: value.meta({ description: 'off the reference after, with this calibration' }),
  as_found: outcome,
  linearity: linearityFound,
  references: z
    .array(z.string())
    .meta({ description: 'of each reference point: method, dye lot and the formula with what went in' }),
})

const pastStepTest = z.object({
  at: time,
  entered_at: time,
  by: z.string(),
  tau_s: z.number(),
  u_tau_s: z.number(),
  area_tau_s: z.number(),
  readings: z.number(),
  moved_from: z.string().nullable(),
  moved_to: z.string().nullable(),
})

export const pastCheck = z.object({
  at: time,
  entered_at: time,
  by: z.string(),
  kind: z.enum(CHECKED_KINDS),
  instrument: z.string(),
  reference: z.string(),
  unit: z.string(),
  expected: z.number(),
  found: z.number(),
  left: value,
  u: z.number().meta({ description: 'standard uncertainty of the difference' }),
  change: value.meta({
    description: 'drift: how much further off than the check before left it; null for the first',
  }),
  bench: z.string().nullable().meta({ description: 'the bench it serves; null: all, or that of its wiring' }),
  limit: z.number(),
  outcome: z.enum(OUTCOMES),
  outcome_left: z.enum(OUTCOMES).nullable(),
  due_at: time.nullable(),
  overdue: z.boolean(),
})

const inDoubt = z.object({
  kind: z.enum(CHECKED_KINDS),
  failed_at: time,
  good_since: time.nullable(),
  batches: z.array(z.object({ id: z.uuid(), number: z.string() })),
})

export const instrumentInDoubt = inDoubt.extend({ instrument: z.string() })

export const instrument = z.object({
  instrument: z.string(),
  bench: z.string(),
  port: z.string(),
  channels: z.array(
    z.object({ channel: z.string(), unit: z.string(), last_value: value, last_at: time.nullable() }),
  ),
  calibration: z
    .object({
      at: time,
      method: z.string(),
      due_at: time.nullable(),
      overdue: z.boolean(),
      fluid: z.string().nullable(),
    })
    .nullable(),
  response: z
    .object({ tau_s: z.number(), u_tau_s: z.number(), at: time, by: z.enum(['calibration', 'step-test']) })
    .nullable()
    .meta({ description: 'response time of the ozone probe that counts now; null: not known' }),
  step_tests: z.array(pastStepTest).meta({ description: 'of the dissolved-ozone channel, newest first' }),
  history: z.array(pastCalibration).meta({ description: 'of the dissolved-ozone channel, newest first' }),
  checks: z.array(pastCheck).meta({ description: 'newest first' }),
  in_doubt: z.array(inDoubt).meta({
    description: 'batches since the last good check, where the newest check or calibration found it off',
  }),
})
