import { onTestFinished } from 'vitest'
import { person } from './api.ts'
import { countedLine, startTicking } from './meter.ts'
import { type Program, runPart } from './program.ts'
import { until } from './until.ts'

export interface AtWork {
  readonly address: string
  readonly daemon: Program
  readonly server: Program
  readonly ines: ReturnType<typeof person>
}

/** Daemon and server of a home, both up. */
export const startBoth = async (home: string): Promise<AtWork> => {
  const daemon = runPart(['daemon'], { home })
  const server = runPart(['serve'], { home })
  await daemon.started()
  const { address } = await server.started()
  return { address, daemon, server, ines: person(address) }
}

/** A meter that sends a line every so often until the test has ended; the line tells which one it is. */
export const keepTicking = (
  meter: { send(line: string): boolean },
  everyMs = 200,
  lineOf: (count: number) => string = countedLine,
) => {
  const ticking = startTicking(meter, everyMs, lineOf)
  onTestFinished(ticking.stop)
  return ticking
}

export const potencyState = async ({ ines }: AtWork): Promise<string> => (await ines.bench()).potency.state

export const untilLive = (work: AtWork): Promise<boolean> =>
  until('the bench to be live', async () => (await potencyState(work)) === 'live')

/** How long something takes, in seconds of the steady clock. */
export const secondsFor = async (work: () => Promise<unknown>): Promise<number> => {
  const start = performance.now()
  await work()
  return (performance.now() - start) / 1000
}
