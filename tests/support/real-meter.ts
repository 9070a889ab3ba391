import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { freePort } from './free-port.ts'
import { makeHome, tcpPort, wiring } from './home.ts'
import { connected, meterLine, startMeter, startTicking } from './meter.ts'
import { endAll, runPart } from './program.ts'

export interface RealMeter {
  readonly address: string
  /** From now on the meter goes from where it is to `mgPerL`, as a first-order probe does. */
  readonly moveTo: (mgPerL: number, tauS: number) => void
  readonly end: () => Promise<void>
}

const EVERY_MS = 50

/** The built program, daemon and server, wired to a meter whose probe the test moves from fluid to fluid. Fluid at 20 °C. */
export const startRealMeter = async (): Promise<RealMeter> => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-meter-'))
  const meter = await startMeter()
  const home = makeHome(wiring({ port: tcpPort(meter.port) }), join(folder, 'home'))
  const daemon = runPart(['daemon'], { home })
  const server = runPart(['serve'], { home, env: { PORT: String(await freePort()) } })
  await daemon.started()
  const { address } = await server.started()
  await connected(meter)
  let step = { from: 2, to: 2, tauMs: 1, atMs: 0 }
  const shown = () => step.to + (step.from - step.to) * Math.exp(-(Date.now() - step.atMs) / step.tauMs)
  // a scatter anybody can make again
  const ticking = startTicking(meter, EVERY_MS, (n) =>
    meterLine(n, (shown() + 0.02 * Math.sin(1.7 * n * n)).toFixed(3), '20.0'),
  )
  return {
    address,
    moveTo: (mgPerL, tauS) => {
      step = { from: shown(), to: mgPerL, tauMs: tauS * 1000, atMs: Date.now() }
    },
    end: async () => {
      ticking.stop()
      await endAll()
      await meter.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
