import { z } from 'zod'
import { batchOpened } from '../ledger/entry.ts'

/** POST /api/plan: what a batch would come to; nothing of it is stored. Units are in the names. */

const { fluid, volume_ml, temperature_c, gas, flow_ml_per_min, target_mg_l, prep_min, purge } =
  batchOpened.shape

export const planWanted = z.strictObject({
  fluid,
  volume_ml,
  temperature_c: temperature_c.unwrap(),
  gas: gas.unwrap(),
  flow_ml_per_min: flow_ml_per_min.unwrap(),
  target_mg_l,
  prep_min,
  purge,
  purge_min: z.number().min(0).max(60),
  room_m3: z.number().min(1).max(10_000).optional(),
  room_c: z.number().min(0).max(45).optional(),
  pressure_kpa: z
    .number()
    .min(50)
    .max(110)
    .optional()
    .meta({ description: 'barometer; 101.3 when left out' }),
})

const band = z
  .object({ low: z.number().nullable(), high: z.number().nullable() })
  .meta({ description: 'least and greatest; null: without limit, for a time: never' })

const side = z.object({
  bands: z.object({
    plateau_mg_l: band.optional(),
    t95_min: band.optional(),
    half_life_min: band.optional(),
    reaches_target_min: band.optional().meta({ description: 'from ozone-on' }),
    ozone_off_mg_l: band.optional(),
    purge_lost_percent: band.optional(),
    flow_off_mg_l: band.optional(),
    above_target_min: band.optional().meta({ description: 'from flow-off' }),
    vented_mg: band.optional(),
    vented_ppm: band.optional().meta({ description: 'in a closed room of the given volume, no ventilation' }),
    flask_mg: band.optional(),
    flask_ppm: band.optional().meta({ description: 'the same, if all that is dissolved came out' }),
  }),
  basis: z.array(z.string()),
})

export const planAnswer = z.object({
  physics: side,
  own_batches: side.meta({ description: 'what this clinic’s own batches do not tell is left out' }),
  ways: z
    .array(
      z.object({
        change: z.enum(['cooler-fluid', 'stronger-gas', 'longer-bubbling', 'purge-past-the-fluid']),
        unit: z.string(),
        now: z.number(),
        limit: z.number().meta({ description: 'how far it was looked at' }),
        may_from: z.number().nullable(),
        all_from: z.number().nullable(),
        gives_mg_l: band,
      }),
    )
    .meta({ description: 'one thing changed at a time, computed from physics; none is a recommendation' }),
  notes: z.array(z.string()),
})
