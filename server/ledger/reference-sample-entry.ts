import { z } from 'zod'
import { text } from './text.ts'

/** A reference sample as it was taken and read. `u` is a standard uncertainty, in the unit of the value. */

export const measured = z.strictObject({
  value: z.number().min(-1e6).max(1e6),
  u: z.number().min(0).max(1e6),
})
/** What is divided by. */
export const divisor = z.strictObject({
  value: z.number().positive().max(1e6),
  u: z.number().min(0).max(1e6),
})

/** Time from the draw to the measurement, for the correction by decay. */
const drawn = { delay_min: measured.optional(), half_life_min: divisor.optional() }

export const referenceSample = z.discriminatedUnion('method', [
  z.strictObject({
    method: z.literal('indigo'),
    blank: divisor,
    sample: measured,
    path_cm: divisor,
    sample_ml: divisor,
    f: divisor.optional().meta({ description: 'of the dye lot; 0.42 ± 0.021 where it was not measured' }),
    dye_lot: text(60).optional(),
    total_ml: divisor.optional().meta({ description: 'reagent and sample, for volumes by weight' }),
    ...drawn,
  }),
  z.strictObject({
    method: z.literal('dpd'),
    chlorine: measured,
    dilution: divisor,
    in_chloride: z.boolean(),
    ...drawn,
  }),
  z.strictObject({
    method: z.literal('uv'),
    absorbance: measured,
    path_cm: divisor,
    epsilon: divisor,
    ...drawn,
  }),
])
