import { z } from 'zod'
import { type RefusedRow, readRefused } from '../../ingest/store/outbox.ts'
import { isoOf } from '../../ingest/units.ts'
import type { Service } from '../service.ts'
import { type refusedReading, refusedReadings } from '../wire/record-schema.ts'
import type { Route } from './route.ts'

const pageQuery = z.object({
  limit: z.coerce.number().int().min(1).max(1000).default(100),
  before: z.coerce.number().int().min(1).optional().meta({
    description:
      'arrival number: only readings that arrived before that one; the last of a page begins the next',
  }),
})

export const forwardingRoutes = ({ config }: Service): Route[] => [
  {
    method: 'get',
    path: '/api/forwarding/refused',
    summary:
      'Readings that the other place will not take, newest first, a page at once, and how many there are',
    query: pageQuery,
    answer: refusedReadings,
    handle: ({ query }): z.infer<typeof refusedReadings> => {
      const { limit, before } = query as z.infer<typeof pageQuery>
      const { count, rows } = readRefused(config.home, limit, before)
      return { count, readings: rows.map(refusedView) }
    },
  },
]

export const refusedView = ({ seq, series, timeUs, words }: RefusedRow): z.infer<typeof refusedReading> => ({
  seq,
  series,
  at: isoOf(timeUs),
  words,
})
