import { z } from 'zod'
import { qualityName, time, value } from './basics-schema.ts'

/** What a chart draws. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

export const point = z
  .tuple([z.number(), value])
  .meta({ description: '[minutes from origin, mg/L or null for a gap]' })
export const bandPoint = z
  .tuple([z.number(), z.number(), z.number()])
  .meta({ description: '[minutes, low, high]' })

/** Everything the chart draws besides live readings. Minutes count from `origin`. */
export const curves = z.object({
  bench: z.string(),
  batch: z.uuid().nullable(),
  origin: time,
  fit: z.array(point),
  fit_band: z.array(bandPoint),
  forecast: z.array(point),
  forecast_band: z.array(bandPoint),
  expectation_band: z.array(bandPoint),
  expectation_text: z.string().nullable(),
  by_hand: z.array(point).meta({ description: 'single values: typed in, or settled spot readings' }),
  spot_mode: z.boolean().optional().meta({
    description: 'true: only the single values are of the fluid, whatever the meter sent between them',
  }),
  target_mg_l: value,
  marks: z.array(z.object({ at_min: z.number(), text: z.string() })),
})

/** One plot column: exact least and greatest of the readings with a number in it, and how many had none. */
export const envelopePoint = z.object({
  time_us: z.number(),
  min: value,
  max: value,
  mean: value,
  count: z.number(),
  not_good: z.number(),
})

export const readingsAnswer = z.object({
  bench: z.string(),
  channel: z.string(),
  unit: z.string(),
  from: time,
  to: time,
  calibrated: z.boolean(),
  points: z.array(envelopePoint),
})

/** Readings that have just become durable. */
export const liveReadings = z.object({
  bench: z.string(),
  channel: z.string(),
  readings: z
    .array(z.tuple([z.number(), value, qualityName]))
    .meta({ description: '[time_us, value, quality]' }),
})
