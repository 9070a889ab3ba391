import { z } from 'zod'

/** ISO-8601, UTC, ending in Z. */
export const instant = z.iso.datetime()

/** Why a number is missing or is only a bound. A closed list: programs may switch on it. */
export const reasonSchema = z.enum([
  'clipped',
  'probe-lag-unknown',
  'plateau-not-reached',
  'start-not-seen',
  'too-few-readings',
  'too-short',
  'no-change',
  'no-convergence',
  'noise-not-estimated',
  'interval-too-wide',
  'outlasts-the-record',
  'impossible-value',
  'gas-still-flowing',
  'temperature-unknown',
  'not-bubbled-yet',
  'below-target-already',
  'nothing-left',
  'reading-too-old',
  'target-never-reached',
  'no-basis',
  'target-not-set',
])

/** A value with its standard error and two-sided 95 % interval (type A); intervals of rates and times are log-scale. */
export const estimateSchema = z.strictObject({
  value: z.number(),
  se: z.number().nonnegative(),
  ci95: z.tuple([z.number(), z.number()]),
  /** The interval with the calibration's own uncertainty in it (type A and B together); present when one is on file. */
  full_ci95: z.tuple([z.number(), z.number()]).optional(),
})

export const boundSchema = z.union([
  z.strictObject({ at_least: z.number(), why: reasonSchema }),
  z.strictObject({ at_most: z.number(), why: reasonSchema }),
])

export const quantitySchema = z.union([estimateSchema, boundSchema])

export type Reason = z.infer<typeof reasonSchema>
export type Estimate = z.infer<typeof estimateSchema>
export type Bound = z.infer<typeof boundSchema>
export type Quantity = z.infer<typeof quantitySchema>
