import { type ChildProcess, fork } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import type { NetworkMeter } from '../support/meter.ts'

const PART = resolve(import.meta.dirname, '../../server/cli/part.js')

export interface RunningProgram {
  readonly home: string
  readonly address: string
  readonly daemon: ChildProcess
  readonly server: ChildProcess
  stop(): void
}

export interface Started {
  readonly child: ChildProcess
  readonly message: Readonly<Record<string, unknown>>
}

/** One part of the program as the supervisor starts it; resolves when it says that it is up. */
export const startPart = (home: string, part: readonly string[]): Promise<Started> =>
  new Promise((started, failed) => {
    const env = { ...process.env, SPARGEWATCH_HOME: home, PORT: '0', HOST: '127.0.0.1' }
    const child = fork(PART, part, { env, stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
    child.once('message', (message) => started({ child, message: message as Started['message'] }))
    child.once('exit', (code) => failed(new Error(`${part[0]} ended with ${code}`)))
  })

export interface ProgramOptions {
  /** How often each meter speaks, s. */
  readonly intervalS?: number
  /** Called before anything is started. */
  readonly prepare?: (home: string) => void
}

/** Daemon and server as they really run, on a home of their own, wired to the meters. */
export const startProgram = async (
  meters: readonly NetworkMeter[],
  { intervalS = 1, prepare }: ProgramOptions = {},
): Promise<RunningProgram> => {
  const home = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  writeFileSync(join(home, 'spargewatch.yaml'), JSON.stringify(configFor(meters, intervalS)))
  prepare?.(home)
  const daemon = await startPart(home, ['daemon'])
  const server = await startPart(home, ['serve'])
  return {
    home,
    address: String(server.message['address']),
    daemon: daemon.child,
    server: server.child,
    stop() {
      daemon.child.kill('SIGKILL')
      server.child.kill('SIGKILL')
      rmSync(home, { recursive: true, force: true })
    },
  }
}

const configFor = (meters: readonly NetworkMeter[], intervalS: number) => ({
  site: { name: 'bench', zone: 'UTC', simulated: true },
  benches: meters.map((_, i) => ({ id: `b${i}` })),
  ports: Object.fromEntries(
    meters.map((m, i) => [
      `p${i}`,
      { kind: 'tcp', host: '127.0.0.1', port: m.port, frame: { delimiter: '\r\n', checksum: 'xor' } },
    ]),
  ),
  instruments: meters.map((_, i) => ({
    id: `m${i}`,
    port: `p${i}`,
    bench: `b${i}`,
    field_count: 6,
    interval_s: intervalS,
    channels: [
      { channel: 'dissolved-ozone', field: 2, unit: 'ug/mL', range: [-2, 1e6] },
      { channel: 'fluid-temperature', field: 4, unit: 'C' },
    ],
  })),
})

const TICKS_PER_S = 100

/** Processor seconds a process has used, and its resident memory in MB. Linux only. */
export const usageOf = (pid: number | undefined): { cpuS: number; rssMb: number } => {
  const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  const rssKb = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1])
  return { cpuS: (Number(fields[11]) + Number(fields[12])) / TICKS_PER_S, rssMb: rssKb / 1024 }
}

export const sleep = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms))
