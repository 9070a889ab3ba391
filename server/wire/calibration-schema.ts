import { z } from 'zod'
import { point } from '../ledger/calibration-entry.ts'
import { measured, referenceSample } from '../ledger/reference-sample-entry.ts'
import { text } from '../ledger/text.ts'
import { typedName, value } from './basics-schema.ts'
import { linearityFound } from './instrument-schema.ts'

/** What is worked out before a calibration is entered. Only a step test is stored. `u` is a standard uncertainty. */

/** POST /api/calibration-line */
export const lineWanted = z.strictObject({
  points: z.array(point).min(1).max(20),
  shared_percent: z
    .number()
    .min(0)
    .max(100)
    .meta({ description: 'of every reference value, erring the same way: f, ε, standard' }),
  zero_known: measured.optional().meta({ description: 'for a single point' }),
  limit_percent: z
    .number()
    .positive()
    .max(100)
    .optional()
    .meta({ description: 'of linearity, % of the span' }),
})

export const lineAnswer = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('line'),
    slope: z.number(),
    u_slope_percent: z.number(),
    zero: z.number(),
    u_zero: z.number(),
    linearity: linearityFound,
  }),
  z.object({ kind: z.literal('refused'), why: z.string() }),
])

/** POST /api/reference-value */
export const referenceWanted = referenceSample

export const referenceAnswer = z.object({
  mg_l: z.number(),
  u_mg_l: z.number(),
  u_own_mg_l: z.number().meta({ description: 'of this sample alone: without what f or ε may be off' }),
  shared_percent: z.number().meta({ description: 'of f or ε: errs the same way in every sample' }),
  kind: z.enum(['value', 'at-least', 'at-most']),
  notes: z.array(z.string()),
  formula: z.string().meta({ description: 'with the numbers that went in' }),
  lost_percent: value.meta({
    description: 'between draw and measurement, added back; null when no time was given',
  }),
})

/** POST /api/step-test: the readings looked at, nothing stored. POST /api/step-tests: the same, entered. */
export const stepWanted = z.strictObject({
  instrument: text(60),
  channel: text(40),
  from: z.iso.datetime().meta({ description: 'the moment the probe was moved, or a little before' }),
  to: z.iso.datetime(),
})

/** POST /api/step-tests */
export const stepEntered = z.strictObject({
  id: z.uuid().toLowerCase(),
  who: typedName,
  data: stepWanted.extend({ moved_from: text(60).optional(), moved_to: text(60).optional() }),
})

export const stepAnswer = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('fitted'),
    tau_s: z.number(),
    u_tau_s: z.number(),
    ci95_s: z.tuple([z.number(), z.number()]),
    area_tau_s: z.number(),
    differ: z.boolean(),
    began_s: z
      .number()
      .meta({ description: 'from `from` to the first reading that had moved; no part of τ' }),
    readings: z.number(),
    from_value: z.number(),
    to_value: z.number(),
  }),
  z.object({ kind: z.literal('refused'), why: z.string(), words: z.string() }),
])
