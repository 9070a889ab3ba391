import { readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parse } from 'yaml'
import { z } from 'zod'
import { messageOf, ServerError } from './errors.ts'

export interface ServerConfig {
  readonly home: string
  readonly site: string
  readonly zone: string
  readonly simulated: boolean
  readonly benches: readonly BenchConfig[]
  /** Readings are also sent on to another place. */
  readonly forwards: boolean
  /** Entries of the record too. */
  readonly mirrors: boolean
  /** Raw readings older than this are removed by the daemon; null: never. */
  readonly keepRawDays: number | null
  readonly web: WebConfig
}

/** How the screens are reached from other machines. */
export interface WebConfig {
  /** Files of certificate and key, absolute. */
  readonly tls: { readonly cert: string; readonly key: string } | null
  /** One proxy before the program speaks TLS with browsers. */
  readonly behindProxy: boolean
  /** Names under which browsers ask, beside those of this machine. */
  readonly names: readonly string[]
}

export interface BenchConfig {
  readonly id: string
  readonly name: string
  readonly simulated: boolean
  /** Where a simulated bench listens for what its operator does. */
  readonly control: { readonly host: string; readonly port: number } | null
}

const isZone = (zone: string): boolean => {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone })
    return true
  } catch {
    return false
  }
}

const siteSchema = z.looseObject({
  site: z.strictObject({
    name: z.string().min(1).max(80),
    zone: z.string().refine(isZone, 'needs an IANA time zone such as Europe/Madrid'),
    simulated: z.boolean().default(false),
  }),
  benches: z
    .array(
      z.strictObject({
        id: z.string().min(1).max(39),
        name: z.string().min(1).max(60).optional(),
        simulated: z.boolean().default(false),
        control_port: z.number().int().min(1).max(65_535).optional(),
      }),
    )
    .min(1),
  store: z
    .looseObject({ influx: z.looseObject({}).optional(), keep_raw_days: z.number().optional() })
    .nullish(),
  web: z
    .strictObject({
      tls: z.strictObject({ cert: z.string().min(1), key: z.string().min(1) }).optional(),
      behind_proxy: z.boolean().default(false),
      names: z
        .array(z.string().regex(/^[A-Za-z0-9.-]{1,253}$/, 'needs a host name without port'))
        .default([]),
    })
    .refine((web) => !(web.tls && web.behind_proxy), {
      path: ['tls'],
      message: 'needs either certificate files or behind_proxy: true, not both',
    })
    .prefault({}),
})

/** Site and benches from `spargewatch.yaml`; the daemon reads the ports and instruments of the same file. */
export const readServerConfig = (home: string): ServerConfig => {
  const path = join(home, 'spargewatch.yaml')
  let content: unknown
  try {
    content = parse(readFileSync(path, 'utf8'))
  } catch (error) {
    throw new ServerError('config-invalid', `${path} cannot be read: ${messageOf(error)}`, { cause: error })
  }
  const parsed = siteSchema.safeParse(content)
  if (!parsed.success) {
    const faults = parsed.error.issues.map(
      (issue) => `  - ${issue.path.join('.') || 'the file'}: ${issue.message}`,
    )
    throw new ServerError(
      'config-invalid',
      `${path} has ${faults.length} ${faults.length === 1 ? 'fault' : 'faults'}:\n${faults.join('\n')}`,
    )
  }
  const { site, benches, store, web } = parsed.data
  return Object.freeze({
    home,
    site: site.name,
    zone: site.zone,
    simulated: site.simulated,
    forwards: store?.influx !== undefined,
    mirrors: Object.keys(store?.influx ?? {}).some(
      (key) => key === 'record_database' || key === 'record_bucket',
    ),
    keepRawDays: store?.keep_raw_days ?? null,
    web: {
      tls: web.tls ? { cert: resolve(home, web.tls.cert), key: resolve(home, web.tls.key) } : null,
      behindProxy: web.behind_proxy,
      names: web.names,
    },
    benches: benches.map((b) => ({
      id: b.id,
      name: b.name ?? b.id,
      simulated: site.simulated || b.simulated,
      control: b.control_port === undefined ? null : { host: '127.0.0.1', port: b.control_port },
    })),
  })
}

export interface Surroundings {
  readonly home: string
  readonly host: string
  readonly port: number
}

const DEFAULT_PORT = 7340
/** Folder of the package, from `dist/server/config.js` and from `server/config.ts` alike. */
export const packageFolder = (): string => {
  const here = fileURLToPath(new URL('.', import.meta.url))
  return resolve(here, here.includes(`${join('dist', 'server')}`) ? '../..' : '..')
}

/** The three settings that come from the environment. Which hosts are possible: `people/reach.ts`. */
export const readSurroundings = (env: NodeJS.ProcessEnv = process.env): Surroundings => {
  const host = env['HOST'] ?? '127.0.0.1'
  const port = Number(env['PORT'] ?? DEFAULT_PORT)
  if (!Number.isInteger(port) || port < 0 || port > 65_535)
    throw new ServerError('config-invalid', `PORT needs a whole number from 0 to 65535, got ${env['PORT']}`)
  return { home: resolve(env['SPARGEWATCH_HOME'] ?? join(packageFolder(), 'data')), host, port }
}
