import { z } from 'zod'
import { spotReading } from '../ledger/spot-entry.ts'
import { time } from './basics-schema.ts'

/** GET /api/benches/{bench}/spot-reading: how far a dipped probe is. */
export const spotAnswer = z.object({
  from: time.meta({ description: 'the moment reckoned from: the one asked with, or now' }),
  to: time.meta({ description: 'the moment looked at' }),
  state: z.enum(['settling', 'settled', 'refused']),
  left_s: z.number().nullable().meta({ description: 'while settling: at least so long' }),
  words: z.string().meta({ description: 'how far it is, or why there is none, in plain words' }),
  may_wait: z.boolean().meta({ description: 'refused, and waiting longer may help' }),
  reading: spotReading.nullable().meta({ description: 'once settled: what would be recorded' }),
})
