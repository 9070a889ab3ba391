import { z } from 'zod'
import { reasonSchema } from './quantity-schema.ts'

const bandSchema = z.strictObject({ low: z.number(), central: z.number(), high: z.number() })

/** A comparison of a fitted quantity with what was expected. It has a third answer. */
export const verdictSchema = z.strictObject({
  about: z.enum([
    'plateau_mg_l',
    /** Plateau over the gas concentration per normal mL. */
    'plateau_over_gas',
    /** Plateau over the equilibrium of pure water at the batch's gas and temperature. */
    'plateau_over_equilibrium',
    'rate_per_min',
    't95_min',
    'half_life_min',
    'half_life_20c_min',
    /** Minutes from flow-off until potency reaches the target. */
    'above_target_min',
    'flow_ml_per_min',
  ]),
  /** Index into `phases`. */
  phase: z.int().nonnegative(),
  against: z.enum(['expectation', 'rule-of-thumb', 'history']),
  outcome: z.enum(['agrees', 'differs', 'cannot-tell']),
  expected: bandSchema.optional(),
  found: z.number().optional(),
  /** Distance from the nearest edge of the expected band, in percent of that edge. */
  by_percent: z.number().optional(),
  direction: z.enum(['above', 'below']).optional(),
  /** Likely causes in trade words, most likely first. Present when it differs. */
  causes: z.array(z.string()).optional(),
  /** Present when it cannot tell. */
  why: reasonSchema.optional(),
  sources: z.array(z.string()),
  /** The rule of thumb, in the clinic's words, and who says so. */
  rule: z
    .strictObject({
      id: z.string(),
      words: z.string(),
      origin: z.string(),
      physics: z.string().optional(),
    })
    .optional(),
})

/**
 * Decision rule: *above* only if the one-sided 95 % lower bound is at or over the target; *below* if the upper
 * bound is under it; else too close to say. Without a calibration on file no such statement is made.
 */
export const decisionSchema = z.strictObject({
  target_mg_l: z.number(),
  word: z.enum(['above', 'below', 'too-close', 'not-calibrated']),
  /** One-sided 95 % bounds on the true value, calibration, zero and salinity uncertainty included. */
  lower_mg_l: z.number(),
  upper_mg_l: z.number(),
})

export type Verdict = z.infer<typeof verdictSchema>
export type Decision = z.infer<typeof decisionSchema>
