import { spawn } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { PACKAGE } from './program.ts'
import { until } from './until.ts'

export interface SimulatedBench {
  readonly tcpPort: number
  readonly controlPort: number
  readonly stop: () => Promise<void>
}

/** A brisk bench: it fills within a minute, so that a test need not wait as long as a clinic. */
const BRISK = {
  flask: { transferPerMin20: 3 },
  meter: { lagS: 2, whiteNoiseMgPerL: 0.03, slowNoiseMgPerL: 0.05 },
}

/** The built bench simulator in a process of its own, waiting for what its control port is told. */
export const startBenchSimulator = async (folder: string): Promise<SimulatedBench> => {
  const config = join(folder, 'benches.json')
  const bench = { id: 'a', script: { seed: 7, settings: BRISK, events: [] }, tcpPort: 0, controlPort: 0 }
  writeFileSync(config, JSON.stringify({ benches: [{ ...bench, intervalS: 1 }] }))
  // Its standard input stays open: the simulator ends when that does.
  const child = spawn(
    process.execPath,
    [join(PACKAGE, 'dist/ingest/bench-simulator/main.js'), '--config', config],
    { stdio: ['pipe', 'pipe', 'inherit'] },
  )
  let said = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    said += text
  })
  const [line] = await until('the simulated bench to listen', () => /^.*\n/.exec(said))
  const { listening } = JSON.parse(line ?? '') as { listening: { tcpPort: number; controlPort: number }[] }
  const [ports] = listening
  if (ports === undefined) throw new Error(`no bench listens: ${said}`)
  return {
    ...ports,
    stop: async () => {
      if (child.exitCode !== null || child.signalCode !== null) return
      const ended = new Promise((resolve) => child.once('exit', resolve))
      child.kill('SIGTERM')
      await ended
    },
  }
}
