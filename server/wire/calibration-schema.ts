import { z } from 'zod'
import { point } from '../ledger/calibration-entry.ts'
import { value } from './basics-schema.ts'

/** What is worked out before a calibration is entered. Nothing here is stored. `u` is a standard uncertainty. */

const measured = z.strictObject({ value: z.number().min(-1e6).max(1e6), u: z.number().min(0).max(1e6) })
/** What is divided by. */
const divisor = z.strictObject({ value: z.number().positive().max(1e6), u: z.number().min(0).max(1e6) })

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
    linearity: z
      .object({
        word: z.enum(['within', 'outside', 'cannot-tell']),
        furthest_percent: z.number(),
        u_percent: z.number(),
      })
      .nullable()
      .meta({ description: 'null: fewer than three levels, or no limit given' }),
  }),
  z.object({ kind: z.literal('refused'), why: z.string() }),
])

/** POST /api/reference-value */
export const referenceWanted = z.discriminatedUnion('method', [
  z.strictObject({
    method: z.literal('indigo'),
    blank: divisor,
    sample: measured,
    path_cm: divisor,
    sample_ml: divisor,
    f: divisor.optional().meta({ description: 'of the dye lot; 0.42 ± 0.021 where it was not measured' }),
    total_ml: divisor.optional().meta({ description: 'reagent and sample, for volumes by weight' }),
    ...drawn(),
  }),
  z.strictObject({
    method: z.literal('dpd'),
    chlorine: measured,
    dilution: divisor,
    in_chloride: z.boolean(),
    ...drawn(),
  }),
  z.strictObject({
    method: z.literal('uv'),
    absorbance: measured,
    path_cm: divisor,
    epsilon: divisor,
    ...drawn(),
  }),
])

/** Time from the draw to the measurement, for the correction by decay. */
function drawn() {
  return { delay_min: measured.optional(), half_life_min: divisor.optional() }
}

export const referenceAnswer = z.object({
  mg_l: z.number(),
  u_mg_l: z.number(),
  kind: z.enum(['value', 'at-least', 'at-most']),
  notes: z.array(z.string()),
  formula: z.string().meta({ description: 'with the numbers that went in' }),
  lost_percent: value.meta({
    description: 'between draw and measurement, added back; null when no time was given',
  }),
})

/** POST /api/step-test */
export const stepWanted = z.strictObject({
  instrument: z.string().min(1).max(60),
  channel: z.string().min(1).max(40),
  from: z.iso.datetime().meta({ description: 'the moment the probe was moved' }),
  to: z.iso.datetime(),
})

export const stepAnswer = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('fitted'),
    tau_s: z.number(),
    u_tau_s: z.number(),
    ci95_s: z.tuple([z.number(), z.number()]),
    area_tau_s: z.number(),
    differ: z.boolean(),
  }),
  z.object({ kind: z.literal('refused'), why: z.string() }),
])
