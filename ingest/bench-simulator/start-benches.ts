import { startControlPort } from './control-port.ts'
import { createLiveBench } from './live-bench.ts'
import type { SimulatorBench, SimulatorConfig } from './main-config.ts'
import { startPtyBench } from './serial-source.ts'
import { startTcpBench } from './tcp-source.ts'

/** Where a bench can be reached, with the real port numbers. */
export interface Listening {
  readonly id: string
  readonly tcpPort?: number
  readonly controlPort?: number
  readonly ptyPath?: string
}

export interface RunningBenches {
  readonly listening: readonly Listening[]
  close(): Promise<void>
}

type Closers = (() => Promise<void>)[]

/** Opens every port, then sets all benches going. When one port cannot be opened, the others are closed again. */
export const startBenches = async (
  { host, benches }: SimulatorConfig,
  onLost: (id: string, why: string) => void,
): Promise<RunningBenches> => {
  const closers: Closers = []
  const close = async () => {
    await Promise.all(closers.map((closer) => closer()))
  }
  try {
    const opened = []
    for (const bench of benches) opened.push(await openBench(host, bench, closers, onLost))
    for (const { start } of opened) start()
    return { listening: opened.map(({ at }) => at), close }
  } catch (error) {
    await close()
    throw error
  }
}

const openBench = async (
  host: string,
  {
    id,
    script,
    startEpochMs = Date.now(),
    intervalS,
    speed,
    tcpPort,
    controlPort,
    ptyPath,
    baudRate,
  }: SimulatorBench,
  closers: Closers,
  onLost: (id: string, why: string) => void,
): Promise<{ readonly at: Listening; readonly start: () => void }> => {
  const bench = createLiveBench(script, startEpochMs, { intervalS, speed })
  const keep = <T extends { close(): Promise<void> }>(opened: T): T => {
    closers.push(() => opened.close())
    return opened
  }
  const tcp = tcpPort === undefined ? undefined : keep(await startTcpBench({ host, port: tcpPort, bench }))
  const control =
    controlPort === undefined ? undefined : keep(await startControlPort({ host, port: controlPort, bench }))
  if (ptyPath !== undefined) {
    keep(await startPtyBench({ path: ptyPath, baudRate, bench, onLost: (why) => onLost(id, why) }))
  }
  closers.push(async () => bench.stop())
  const at = {
    id,
    ...(tcp && { tcpPort: tcp.port }),
    ...(control && { controlPort: control.port }),
    ...(ptyPath !== undefined && { ptyPath }),
  }
  return { at, start: () => bench.start() }
}
