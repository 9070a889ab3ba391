import { z } from 'zod'
import { value } from './basics-schema.ts'

/** How many batches a trial needs, asked before its plan is fixed. */

const asked = {
  spread_percent: z.number().min(0.1).max(100).meta({ description: 'from batch to batch' }),
  confidence_percent: z.number().min(80).max(99.9).default(95),
  minutes_each: z
    .number()
    .positive()
    .max(1440)
    .optional()
    .meta({ description: 'at the bench, of one batch' }),
}

/** POST /api/trial-power: how many batches a plan needs, before it is fixed. */
export const trialPowerWanted = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('prep-time'),
    ...asked,
    prep_min: z.number().positive().max(240),
    typical_min: z.number().positive().max(240).meta({ description: 'what a typical batch takes' }),
    coverage_percent: z.number().min(50).max(99.9).default(90),
  }),
  z.strictObject({
    kind: z.literal('fluid-comparison'),
    ...asked,
    margin_percent: z.number().min(1).max(100),
    groups: z.number().int().min(2).max(6),
  }),
])

export const trialPower = z.object({
  power_percent: z.number(),
  needed: value.meta({ description: 'batches, of each group in a comparison; null: more than listed' }),
  rows: z.array(
    z.object({ batches: z.number(), in_all: z.number(), chance_percent: z.number(), hours: value }),
  ),
  basis: z.string(),
})

/** GET /api/trial-spread: what this clinic’s own batches say of the spread. */
export const trialSpreadSeen = z.object({
  batches: z.number(),
  typical_min: value.meta({ description: 't95 of one filling, geometric mean' }),
  t95_spread_percent: value,
  plateau_spread_percent: value,
  half_life_spread_percent: value,
})
