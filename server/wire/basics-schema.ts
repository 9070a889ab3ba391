import { z } from 'zod'
import { QUALITIES } from '../../ingest/reading/reading.ts'
import { text } from '../ledger/text.ts'

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

/** Needed while nobody is set up; then the session says who, and a name that is sent must be that one. */
export const typedName = text(60).optional().meta({ description: 'name as typed, while nobody can sign in' })
