import { z } from 'zod'
import { forecastSchema, reasonSchema } from './forecast-schema.ts'
import { phaseSchema } from './phase-schema.ts'
import { instant } from './quantity-schema.ts'
import { decisionSchema, verdictSchema } from './verdict-schema.ts'

/**
 * One batch, analysed: the JSON document `spargewatch.analysis/1`. Times are ISO-8601 UTC; units are in the
 * names; a number never comes without its interval, or it is a bound that says why it is only a bound.
 */
export const analysisSchema = z.strictObject({
  schema: z.literal('spargewatch.analysis/1'),
  /** Rows or readings that carried a potency value. */
  readings: z.int().nonnegative(),
  /** How a file's rows were put right before the analysis; absent when readings came from the store. */
  rows: z
    .strictObject({
      read: z.int().nonnegative(),
      empty_cells: z.int().nonnegative(),
      out_of_order: z.int().nonnegative(),
      doubled: z.int().nonnegative(),
    })
    .optional(),
  /** Readings that no fit used. A run is one item with `until` and `count`. */
  set_aside: z.array(
    z.strictObject({
      time: instant,
      why: z.enum(['spike', 'clipped', 'jump', 'repeated', 'settling', 'impossible', 'probe-out']),
      until: instant.optional(),
      count: z.int().positive().optional(),
    }),
  ),
  phases: z.array(phaseSchema),
  /** Absent when no target was given. */
  forecast: forecastSchema.optional(),
  /** Absent when no target was given. */
  decision: decisionSchema.optional(),
  verdicts: z.array(verdictSchema),
  notes: z.array(z.string()),
})

export type Analysis = z.infer<typeof analysisSchema>
export type SetAside = Analysis['set_aside'][number]

export type { AnalysedForecast } from './forecast-schema.ts'
export type { AnalysedDecay, AnalysedPhase, AnalysedPurge, AnalysedRise } from './phase-schema.ts'
export type { Bound, Estimate, Quantity, Reason } from './quantity-schema.ts'
export type { Decision, Verdict } from './verdict-schema.ts'
export { reasonSchema }
