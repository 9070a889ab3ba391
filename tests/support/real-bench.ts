import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { startBenchSimulator } from './bench-simulator.ts'
import { freePort } from './free-port.ts'
import { makeHome, tcpPort, wiring } from './home.ts'
import { endAll, runPart } from './program.ts'

export interface RealBench {
  readonly address: string
  /** What the server printed for the first administrator. */
  readonly setUpLink: () => string
  /** As a power cut ends it: no time to say anything. */
  readonly killServer: () => void
  /** On the same port as before. */
  readonly startServer: () => Promise<void>
  readonly silenceMeter: () => Promise<void>
  readonly end: () => Promise<void>
}

/** The built program, daemon and server, wired to one simulated bench that does what is entered. */
export const startRealBench = async (): Promise<RealBench> => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-real-'))
  const bench = await startBenchSimulator(folder)
  const yaml = wiring({ port: tcpPort(bench.tcpPort), simulated: true })
  const controlled = yaml.replace('name: Bench A }', `name: Bench A, control_port: ${bench.controlPort} }`)
  const home = makeHome(controlled, join(folder, 'home'))
  const port = String(await freePort())
  const serve = () => runPart(['serve'], { home, env: { PORT: port } })
  const daemon = runPart(['daemon'], { home })
  let server = serve()
  await daemon.started()
  const { address } = await server.started()
  return {
    address,
    setUpLink: () => /http:\S+\/welcome#\S+/.exec(server.stderr())?.[0] ?? '',
    killServer: () => server.kill('SIGKILL'),
    startServer: async () => {
      server = serve()
      await server.started()
    },
    silenceMeter: bench.stop,
    end: async () => {
      await bench.stop()
      await endAll()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
