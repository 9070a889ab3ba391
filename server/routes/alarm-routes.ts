import { z } from 'zod'
import { ServerError } from '../errors.ts'
import { entrySchema } from '../ledger/entry.ts'
import type { Service } from '../service.ts'
import { alarmView } from '../wire/bench-schema.ts'
import { acknowledge } from '../wire/request-schema.ts'
import type { Route } from './route.ts'

const keyParams = z.object({ key: z.string().min(3).max(120) })
const historyQuery = z.object({ limit: z.coerce.number().int().min(1).max(1000).default(200) })

export const alarmRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/alarms',
    summary: 'Alarms that are not normal now',
    answer: z.array(alarmView),
    handle: () => service.engine.alarms(),
  },
  {
    method: 'get',
    path: '/api/alarms/history',
    summary: 'Alarm changes of state, newest first',
    query: historyQuery,
    answer: z.object({ entries: z.array(entrySchema) }),
    handle: ({ query }) => ({ entries: service.ledger.ofKind('alarm', Number(query['limit'])).reverse() }),
  },
  {
    method: 'post',
    path: '/api/alarms/{key}/acknowledgement',
    summary: 'Acknowledge an alarm: who has seen it, and why if it matters',
    params: keyParams,
    body: acknowledge,
    answer: alarmView,
    handle: ({ params, body }) => {
      const { who, why } = body as z.infer<typeof acknowledge>
      const shown = service.engine.acknowledge(params['key'] ?? '', who, why ?? null)
      if (!shown)
        throw new ServerError('not-found', `alarm ${params['key']} does not exist`, {
          fix: 'see /api/alarms for those that do',
        })
      return shown
    },
  },
]
