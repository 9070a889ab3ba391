import { z } from 'zod'
import { QUALITIES } from '../../ingest/reading/reading.ts'

/** What the messages on the wire are made of. Units are in the names; times are ISO 8601 in UTC; null means "no value". */

export const time = z.iso.datetime()
export const value = z.number().nullable()

export const qualityName = z.enum(QUALITIES)

export const estimate = z.object({
  value: z.number().nullable(),
  low: z.number().nullable(),
  high: z.number().nullable(),
  bound: z.enum(['at-least', 'at-most']).nullable(),
  why: z.string().nullable(),
  full: z
    .object({ low: z.number(), high: z.number() })
    .optional()
    .meta({ description: 'the 95 % interval with the calibration’s own uncertainty in it' }),
})
