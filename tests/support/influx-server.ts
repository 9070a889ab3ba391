import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { connect } from 'node:net'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import type { InfluxTarget } from '../../ingest/config-influx.ts'
import { freePort } from './free-port.ts'
import { until } from './until.ts'

/** Debian's `influxdb` (1.6) is the real server of these tests. */
export const hasInflux = (process.env['PATH'] ?? '')
  .split(delimiter)
  .some((folder) => existsSync(join(folder, 'influxd')))

export interface InfluxServer {
  readonly url: string
  readonly port: number
  /** Statements that the program itself never sends: create a database, a user. Returns the answer as text. */
  tell(statement: string, database?: string): Promise<string>
  /** A target of the program on this server. */
  target(database: string, more?: Partial<InfluxTarget>): InfluxTarget
  kill(signal?: NodeJS.Signals): Promise<void>
  /** Again on the same port and files; resolves when it answers. */
  start(): Promise<void>
  /** Ends it and removes its files. */
  close(): Promise<void>
}

export interface InfluxOptions {
  readonly auth?: boolean
  /** Serves https with this certificate: a PEM file of key and certificate. */
  readonly pem?: string
}

/** A real influxd on a free loopback port, with files of its own in a temporary folder. */
export const startInflux = async ({ auth = false, pem }: InfluxOptions = {}): Promise<InfluxServer> => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-influx-'))
  const port = await freePort()
  const config = join(folder, 'influxdb.conf')
  writeFileSync(config, configOf(folder, port, await freePort(), auth, pem))
  const url = `${pem === undefined ? 'http' : 'https'}://127.0.0.1:${port}`
  let child: ChildProcess | undefined

  const start = async () => {
    child = spawn('influxd', ['-config', config], { stdio: 'ignore' })
    await until('influxd to answer', () => (pem === undefined ? answers(url) : listens(port)))
  }
  const kill = async (signal: NodeJS.Signals = 'SIGKILL') => {
    const running = child
    child = undefined
    if (running === undefined || running.exitCode !== null || running.signalCode !== null) return
    const ended = new Promise((resolve) => running.once('exit', resolve))
    running.kill(signal)
    await ended
  }
  await start()
  return {
    url,
    port,
    start,
    kill,
    tell: async (statement, database = '') => {
      const body = new URLSearchParams({ q: statement, db: database })
      return (await fetch(`${url}/query`, { method: 'POST', body })).text()
    },
    target: (database, more = {}) => ({
      url,
      version: 1,
      database,
      bucket: null,
      caFile: null,
      secretsFile: join(folder, 'none.yaml'),
      ...more,
    }),
    close: async () => {
      await kill()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

const answers = async (url: string): Promise<boolean> => (await fetch(`${url}/ping`)).status === 204

const listens = (port: number): Promise<boolean> =>
  new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1')
    socket.once('connect', () => resolve(true))
    socket.once('error', () => resolve(false))
    socket.once('connect', () => socket.destroy())
  })

const configOf = (
  folder: string,
  port: number,
  rpcPort: number,
  auth: boolean,
  pem: string | undefined,
): string => `
reporting-disabled = true
bind-address = "127.0.0.1:${rpcPort}"
[meta]
  dir = "${folder}/meta"
  logging-enabled = false
[data]
  dir = "${folder}/data"
  wal-dir = "${folder}/wal"
  query-log-enabled = false
[monitor]
  store-enabled = false
[continuous_queries]
  enabled = false
[http]
  bind-address = "127.0.0.1:${port}"
  log-enabled = false
  auth-enabled = ${auth}
  https-enabled = ${pem !== undefined}
  https-certificate = "${pem ?? ''}"
`
