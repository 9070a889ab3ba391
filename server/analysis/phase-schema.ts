import { z } from 'zod'
import { instant, quantitySchema, reasonSchema } from './quantity-schema.ts'

const common = {
  /** Inclusive. */
  start: instant,
  /** Exclusive. */
  end: instant,
  status: z.enum(['fitted', 'bounded', 'refused']),
  /** Present when refused. */
  why: reasonSchema.optional(),
  /** What placed the start: a ledger entry or the signal itself. */
  found_by: z.enum(['entry', 'signal']),
  residual_sd_mg_l: z.number().nonnegative().optional(),
  /** Readings used. */
  n: z.int().nonnegative().optional(),
  /** Independent readings they are worth, given how the noise is correlated. */
  n_eff: z.number().nonnegative().optional(),
  notes: z.array(z.string()),
}

export const riseSchema = z.strictObject({
  kind: z.literal('rise'),
  ...common,
  fraction_of_plateau: z.number().optional(),
  plateau_mg_l: quantitySchema.optional(),
  rate_per_min: quantitySchema.optional(),
  t95_min: quantitySchema.optional(),
  t95_from_zero_min: quantitySchema.optional(),
  start_mg_l: quantitySchema.optional(),
})

export const purgeSchema = z.strictObject({
  kind: z.literal('purge'),
  ...common,
  rate_per_min: quantitySchema.optional(),
  lost_fraction: quantitySchema.optional(),
  start_mg_l: quantitySchema.optional(),
  end_mg_l: quantitySchema.optional(),
})

export const decaySchema = z.strictObject({
  kind: z.literal('decay'),
  ...common,
  /** Reaction order of the reported fit: 1 unless the record is long and clearly says otherwise. */
  order: z.union([z.literal(1), z.literal(1.5), z.literal(2)]).optional(),
  start_mg_l: quantitySchema.optional(),
  /** First-order decay rate. Absent for other orders, whose rate constant has another unit. */
  rate_per_min: quantitySchema.optional(),
  half_life_min: quantitySchema.optional(),
  half_life_20c_min: quantitySchema.optional(),
  /** Step in the reading at flow-off as a fraction of the value before; absent when it could not be told. */
  step_fraction: quantitySchema.optional(),
})

export const phaseSchema = z.discriminatedUnion('kind', [riseSchema, purgeSchema, decaySchema])

export type AnalysedRise = z.infer<typeof riseSchema>
export type AnalysedPurge = z.infer<typeof purgeSchema>
export type AnalysedDecay = z.infer<typeof decaySchema>
export type AnalysedPhase = z.infer<typeof phaseSchema>
