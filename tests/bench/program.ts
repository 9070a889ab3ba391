import { type ChildProcess, fork } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createServer, type Server, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { xorOf } from '../../ingest/frame/xor-checksum.ts'

const part = resolve(import.meta.dirname, '../../server/cli/part.js')

/** One bench's meter: a TCP server that sends lines when told. */
export interface Meter {
  readonly port: number
  send(value: number): void
  close(): void
}

export const startMeter = (): Promise<Meter> =>
  new Promise((ready) => {
    const sockets = new Set<Socket>()
    let sequence = 0
    const server: Server = createServer((socket) => {
      sockets.add(socket)
      socket.setNoDelay(true)
      // a port gives up what comes before its first delimiter
      socket.write('\r\n')
      socket.on('close', () => sockets.delete(socket))
      socket.on('error', () => {})
    }).listen(0, '127.0.0.1', () => {
      const address = server.address()
      ready({
        port: typeof address === 'object' && address ? address.port : 0,
        send(value) {
          sequence += 1
          const content = `SPGW,${String(sequence % 1e6).padStart(6, '0')},${value.toFixed(4)},ugml,20.00,C`
          const line = `$${content}*${xorOf(content).toString(16).toUpperCase().padStart(2, '0')}\r\n`
          for (const socket of sockets) socket.write(line)
        },
        close() {
          for (const socket of sockets) socket.destroy()
          server.close()
        },
      })
    })
  })

export interface RunningProgram {
  readonly home: string
  readonly address: string
  readonly daemon: ChildProcess
  readonly server: ChildProcess
  stop(): void
}

/** Daemon and server as they really run, on a home of their own, wired to the meters. */
export const startProgram = async (meters: readonly Meter[]): Promise<RunningProgram> => {
  const home = mkdtempSync(join(tmpdir(), 'spargewatch-bench-'))
  writeFileSync(join(home, 'spargewatch.yaml'), JSON.stringify(configFor(meters)))
  const env = { ...process.env, SPARGEWATCH_HOME: home, PORT: '0', HOST: '127.0.0.1' }
  const start = (command: string): Promise<{ child: ChildProcess; message: Record<string, unknown> }> =>
    new Promise((started, failed) => {
      const child = fork(part, [command], { env, stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
      child.once('message', (message) => started({ child, message: message as Record<string, unknown> }))
      child.once('exit', (code) => failed(new Error(`${command} ended with ${code}`)))
    })
  const daemon = await start('daemon')
  const server = await start('serve')
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

const configFor = (meters: readonly Meter[]) => ({
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
