import { z } from 'zod'
import { deliveriesView } from '../notify/delivery-view.ts'
import type { Service } from '../service.ts'
import { deliveries } from '../wire/delivery-schema.ts'
import type { Route } from './route.ts'

const limitQuery = z.object({ limit: z.coerce.number().int().min(1).max(1000).default(100) })

export const deliveryRoutes = ({ elsewhere }: Service): Route[] => [
  {
    method: 'get',
    path: '/api/deliveries',
    summary: 'Who is told of alarms beyond the screens, and each message with what came of it, newest first',
    query: limitQuery,
    answer: deliveries,
    handle: ({ query }) => deliveriesView(elsewhere, Number(query['limit'])),
  },
]
