import { z } from 'zod'
import { instant, reasonSchema } from './quantity-schema.ts'

/** `history`: the clinic's own batches of that fluid and temperature; `expectation`: the physics band. */
export const basisSchema = z.enum(['readings', 'history', 'expectation'])

export const forecastSchema = z.union([
  z.strictObject({
    target_mg_l: z.number(),
    reaches_target_at: instant,
    /** One-sided 95 %: the moment alarms and the big countdown use. */
    early_bound_at: instant,
    ci95: z.tuple([instant, instant]),
    basis: basisSchema,
    /** Present while gas still flows: the answer to "if everything were shut off now". */
    if_off_now: z.literal(true).optional(),
    notes: z.array(z.string()),
  }),
  z.strictObject({ target_mg_l: z.number(), refused: reasonSchema, notes: z.array(z.string()) }),
])

export type AnalysedForecast = z.infer<typeof forecastSchema>
export { reasonSchema }
