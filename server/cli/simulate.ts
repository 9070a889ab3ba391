import { readFileSync } from 'node:fs'
import type { Command } from 'commander'
import { batchEvents } from '../../ingest/bench-simulator/batch-script.ts'
import { readConfig } from '../../ingest/bench-simulator/main-config.ts'
import { SimulatorError } from '../../ingest/bench-simulator/simulator-error.ts'
import { startBenches } from '../../ingest/bench-simulator/start-benches.ts'
import { messageOf, ServerError } from '../errors.ts'

interface SimulateOptions {
  readonly tcp?: string
  readonly pty?: string
  readonly control?: string
  readonly seed: string
  readonly interval: string
  readonly config?: string
}

export const registerSimulate = (program: Command): void => {
  program
    .command('simulate')
    .description(
      'a simulated bench that sends meter lines over TCP or onto a serial device, for trying things out',
    )
    .option('--tcp <port>', 'listen here for the daemon (0 = any free port)')
    .option('--pty <path>', 'write to this serial device')
    .option('--control <port>', 'listen here for JSON commands such as {"do":"ozone-off"}')
    .option('--seed <n>', 'same seed, same readings', '1')
    .option('--interval <s>', 'seconds between lines', '1')
    .option('--config <file>', 'JSON description of benches instead of the options above')
    .action(simulate)
}

/** One batch after another: five minutes of bubbling, a minute of purge, half an hour of standing. */
const SCRIPT_EVENTS = batchEvents({
  startS: 5,
  fill: { volumeMl: 250, fluid: 'saline', temperatureC: 8, fluidHalfLifeMin20: 45 },
  ozone: { gasUgPerNml: 60, flowMlPerMin: 500 },
  readyS: 20,
  bubblingS: 420,
  purgeS: 30,
  standingS: 1800,
  draws: [{ afterS: 300, ml: 20 }],
})

const simulate = async (options: SimulateOptions): Promise<void> => {
  const raw = options.config === undefined ? oneBench(options) : readJson(options.config)
  try {
    const benches = await startBenches(readConfig(raw, Date.now()), (id, why) =>
      console.error(`${id}: ${why}`),
    )
    console.log(JSON.stringify({ simulated: true, listening: benches.listening }))
    await new Promise<void>((resolve) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve())
      if (process.connected) process.once('disconnect', () => resolve())
    })
    await benches.close()
    process.exit(0)
  } catch (error) {
    if (error instanceof SimulatorError) throw new ServerError('bad-request', error.faults.join('; '))
    throw error
  }
}

const oneBench = ({ tcp, pty, control, seed, interval }: SimulateOptions): unknown => {
  if (tcp === undefined && pty === undefined)
    throw new ServerError('bad-request', 'simulate needs --tcp PORT or --pty PATH')
  return {
    benches: [
      {
        id: 'simulated',
        script: { seed: Number(seed), events: SCRIPT_EVENTS, repeatEveryS: 2400 },
        intervalS: Number(interval),
        ...(tcp === undefined ? {} : { tcpPort: Number(tcp) }),
        ...(pty === undefined ? {} : { ptyPath: pty }),
        ...(control === undefined ? {} : { controlPort: Number(control) }),
      },
    ],
  }
}

const readJson = (file: string): unknown => {
  try {
    return JSON.parse(readFileSync(file, 'utf8'))
  } catch (error) {
    throw new ServerError('bad-request', `${file} needs to be readable JSON: ${messageOf(error)}`)
  }
}
