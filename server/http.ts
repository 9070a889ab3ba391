import { existsSync } from 'node:fs'
import type { Server } from 'node:http'
import { join } from 'node:path'
import express, { type Express, type RequestHandler } from 'express'
import helmet from 'helmet'
import { ServerError } from './errors.ts'
import type { Caller } from './people/caller.ts'
import type { Gate } from './people/gate.ts'
import { routeNeed } from './people/needs.ts'
import { alarmRoutes } from './routes/alarm-routes.ts'
import { batchRoutes } from './routes/batch-routes.ts'
import { benchRoutes } from './routes/bench-routes.ts'
import { calibrationRoutes } from './routes/calibration-routes.ts'
import { deliveryRoutes } from './routes/delivery-routes.ts'
import { forwardingRoutes } from './routes/forwarding-routes.ts'
import { methodSheetRoutes } from './routes/method-sheet-routes.ts'
import { openApi } from './routes/open-api.ts'
import { OURS_HERE, type Ours, whyForeign } from './routes/own-origin.ts'
import { peopleRoutes } from './routes/people-routes.ts'
import { planRoutes } from './routes/plan-routes.ts'
import { printRoutes } from './routes/print-routes.ts'
import { invalid, problemHandler } from './routes/problem.ts'
import { expressPath, type Route } from './routes/route.ts'
import { sessionRoutes } from './routes/session-routes.ts'
import { setUpRoutes } from './routes/set-up-routes.ts'
import { signatureRoutes } from './routes/signature-routes.ts'
import { spotRoutes } from './routes/spot-routes.ts'
import { stepTestRoutes } from './routes/step-test-routes.ts'
import { trialRoutes } from './routes/trial-routes.ts'
import type { Service } from './service.ts'

export interface HttpOptions {
  readonly service: Service
  readonly ours: Ours
  /** One proxy stands before the program: what it says of the address counts. */
  readonly behindProxy: boolean
  /** Folder of the built screens. */
  readonly screens: string
  readonly onUnexpected: (error: unknown) => void
}

/** The HTTP side of the server. */
export const createHttp = ({ service, ...rest }: HttpOptions): Express =>
  createApp({
    ...rest,
    version: service.version,
    page: 'index.html',
    gate: service.gate,
    onActed: service.onActed,
    routes: routesOf(service),
  })

/** Every route of the server; who may ask which: `people/needs.ts`. */
export const routesOf = (service: Service): Route[] => [
  ...benchRoutes(service),
  ...batchRoutes(service),
  ...printRoutes(service),
  ...alarmRoutes(service),
  ...calibrationRoutes(service),
  ...setUpRoutes(service),
  ...forwardingRoutes(service),
  ...deliveryRoutes(service),
  ...spotRoutes(service),
  ...stepTestRoutes(service),
  ...methodSheetRoutes(service),
  ...trialRoutes(service),
  ...planRoutes(service),
  ...sessionRoutes(service),
  ...peopleRoutes(service),
  ...signatureRoutes(service),
]

export interface AppOptions extends Omit<HttpOptions, 'service' | 'ours' | 'behindProxy'> {
  readonly ours?: Ours
  readonly behindProxy?: boolean
  /** Who may ask what; left out: everybody everything that there is. */
  readonly gate?: Gate
  /** A person, let in, sends something. */
  readonly onActed?: (caller: Caller) => void
  readonly routes: readonly Route[]
  readonly version: string
  /** The one page for every address of a screen. */
  readonly page: 'index.html' | 'viewer.html'
  /** Nothing can be entered here: everything but asking is refused. */
  readonly readOnly?: boolean
}

/** API routes from one table, then the built screens. */
export const createApp = ({
  routes,
  version,
  screens,
  page,
  readOnly,
  gate = () => OPEN,
  onActed = () => {},
  ours = OURS_HERE,
  behindProxy = false,
  onUnexpected,
}: AppOptions): Express => {
  const app = express()
  if (behindProxy) app.set('trust proxy', 1)
  app.disable('x-powered-by')
  app.set('query parser', 'simple')
  app.use(helmet(SECURITY))
  app.use(ownOnly(ours))
  app.use(express.json({ limit: '64kb' }))
  if (readOnly) app.use('/api', askingOnly)
  const description = openApi(routes, version)
  app.get('/api/openapi.json', (request, response) => {
    gate(request, routeNeed('get', '/api/openapi.json'))
    response.json(description)
  })
  for (const route of routes) app[route.method](expressPath(route.path), handlerOf(route, gate, onActed))
  app.use('/api', (request) => {
    gate(request, 'viewer')
    throw new ServerError(
      'not-found',
      `${request.method} ${request.originalUrl.slice(0, 200)} is not a route`,
      { fix: 'see /api/openapi.json' },
    )
  })
  app.use(...screenHandlers(screens, page))
  app.use(problemHandler(onUnexpected))
  return app
}

const SECURITY: Parameters<typeof helmet>[0] = {
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'self'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      imgSrc: ["'self'", 'data:'],
      connectSrc: ["'self'"],
      objectSrc: ["'none'"],
      baseUri: ["'none'"],
      formAction: ["'self'"],
      frameAncestors: ["'none'"],
    },
  },
  // plain HTTP on loopback: nothing to upgrade to
  strictTransportSecurity: false,
}

const OPEN: Caller = { kind: 'open' }

const ownOnly =
  (ours: Ours): RequestHandler =>
  (request, _response, next) => {
    const why = whyForeign(request, ours)
    next(why === undefined ? undefined : new ServerError('forbidden-origin', why))
  }

const askingOnly: RequestHandler = (request, _response, next) => {
  if (request.method === 'GET' || request.method === 'HEAD') return next()
  throw new ServerError('read-only', 'this is a read-only viewer: nothing can be entered here', {
    fix: 'enter it at the program beside the benches',
  })
}

const handlerOf = (route: Route, gate: Gate, onActed: (caller: Caller) => void): RequestHandler => {
  const need = routeNeed(route.method, route.path)
  return async (request, response) => {
    const caller = gate(request, need)
    const params = route.params?.safeParse(request.params)
    if (params && !params.success) throw invalid('path', params.error)
    const query = route.query?.safeParse(request.query)
    if (query && !query.success) throw invalid('query', query.error)
    const body = route.body?.safeParse(request.body)
    if (body && !body.success) throw invalid('body', body.error)
    const input = {
      params: (params?.data ?? {}) as Record<string, string>,
      query: query?.data ?? {},
      body: body?.data,
      caller,
    }
    if (route.method === 'post') onActed(caller)
    const answer = await route.handle(input, response, request)
    if (route.answer !== null) response.set('cache-control', 'no-store').json(answer)
  }
}

/** Built files with long caching (their names carry a hash), and the one page for every address of a screen. */
const screenHandlers = (folder: string, name: string): RequestHandler[] => {
  const page = join(folder, name)
  return [
    express.static(folder, {
      index: false,
      immutable: true,
      maxAge: '30d',
      setHeaders: (response, path) => void (path === page && response.set('cache-control', 'no-cache')),
    }),
    (request, response, next) => {
      if (request.method !== 'GET' && request.method !== 'HEAD')
        return next(new ServerError('not-found', `${request.method} is not possible here`))
      if (/\.\w+$/.test(request.path))
        return next(new ServerError('not-found', `${request.path} is not a file of the screens`))
      if (!existsSync(page))
        return next(
          new ServerError('not-available', 'the screens are not built yet', { fix: 'run "npm run build"' }),
        )
      response.set('cache-control', 'no-cache').sendFile(page)
    },
  ]
}

/** Resolves with the address. */
export const listen = (
  http: Server,
  host: string,
  port: number,
  scheme: 'http' | 'https' = 'http',
): Promise<string> =>
  new Promise((resolve, reject) => {
    http.once('error', (error: NodeJS.ErrnoException) =>
      reject(
        error.code === 'EADDRINUSE'
          ? new ServerError(
              'not-available',
              `port ${port} on ${host} is in use by another program: stop that one, or set PORT to another number`,
            )
          : error,
      ),
    )
    http.listen(port, host, () => {
      const address = http.address()
      const actual = typeof address === 'object' && address ? address.port : port
      resolve(`${scheme}://${host.includes(':') ? `[${host}]` : host}:${actual}`)
    })
  })
