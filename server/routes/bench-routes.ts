import { z } from 'zod'
import { CHANNELS } from '../../ingest/reading/reading.ts'
import { timeUs } from '../../ingest/units.ts'
import { ServerError } from '../errors.ts'
import { calibratedEnvelope } from '../report/calibrated-envelope.ts'
import type { Service } from '../service.ts'
import { liveBench, site } from '../wire/bench-schema.ts'
import { readingsAnswer } from '../wire/chart-schema.ts'
import { instrument } from '../wire/instrument-schema.ts'
import { health, healthCheck } from '../wire/record-schema.ts'
import type { ReadingsAnswer, Site } from '../wire.ts'
import { checkView, healthView } from './health-view.ts'
import { instrumentViews } from './instrument-views.ts'
import type { Route } from './route.ts'

const benchParams = z.object({ bench: z.string().min(1).max(40) })
const readingsQuery = z.object({
  bench: z.string().min(1).max(40),
  channel: z.enum(CHANNELS),
  from: z.iso.datetime(),
  to: z.iso.datetime(),
  points: z.coerce.number().int().min(1).max(5000).default(1000),
})

export const siteView = ({ config, version }: Service): Site => ({
  name: config.site,
  zone: config.zone,
  simulated: config.simulated,
  version,
  benches: config.benches.map(({ id, name, simulated }) => ({ id, name, simulated })),
})

export const benchRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/health',
    summary: 'Is everything at work? For people and for monitors; the status alone for who is not signed in',
    answer: z.union([health, health.pick({ status: true })]),
    handle: ({ caller }) => {
      const view = healthView(service)
      return caller.kind === 'nobody' ? { status: view.status } : view
    },
  },
  {
    method: 'get',
    path: '/api/health/check',
    summary: 'The same in one word, with status 503 while no readings are being logged',
    answer: healthCheck,
    handle: (_input, response) => {
      const check = checkView(service)
      if (!check.logging) response.status(503)
      return check
    },
  },
  {
    method: 'get',
    path: '/api/site',
    summary: 'Site, zone, benches',
    answer: site,
    handle: () => siteView(service),
  },
  {
    method: 'get',
    path: '/api/benches',
    summary: 'Every bench as it is now',
    answer: z.array(liveBench),
    handle: () => service.engine.all(),
  },
  {
    method: 'get',
    path: '/api/benches/{bench}',
    summary: 'One bench as it is now',
    params: benchParams,
    answer: liveBench,
    handle: ({ params }) => {
      const found = service.engine.bench(params['bench'] ?? '')
      if (!found) throw new ServerError('not-found', `bench ${params['bench']} is not in the wiring`)
      return found.live
    },
  },
  {
    method: 'get',
    path: '/api/readings',
    summary: 'Readings of one channel as an exact least-and-greatest envelope',
    query: readingsQuery,
    answer: readingsAnswer,
    handle: ({ query }) => readings(query as z.infer<typeof readingsQuery>, service),
  },
  {
    method: 'get',
    path: '/api/instruments',
    summary: 'Instruments, their newest values and calibration',
    answer: z.array(instrument),
    handle: () => instrumentViews(service),
  },
]

const readings = (query: z.infer<typeof readingsQuery>, service: Service): ReadingsAnswer => {
  const { bench, channel, from, to, points } = query
  const [fromUs, toUs] = [timeUs(Date.parse(from) * 1000), timeUs(Date.parse(to) * 1000)]
  if (toUs <= fromUs)
    throw new ServerError('bad-request', `query.to needs to be after query.from, got ${from} to ${to}`)
  const found = calibratedEnvelope({ bench, channel, fromUs, toUs, points }, service)
  return { bench, channel, unit: found.unit, from, to, calibrated: found.calibrated, points: found.points }
}
