import type { TrialHead, TrialView, TrialWorking } from '../../server/wire.ts'
import { startMeter } from '../support/meter.ts'
import { prepareTrial, TRIAL } from './many-batches.ts'
import { type RunningProgram, sleep, startPart, startProgram } from './program.ts'
import { quantile, type Row } from './row.ts'

const BATCHES = 500

/** A trial of many batches, worked out for the first time and kept; peer: another question to the same server meanwhile. */
export const benchTrial = async (batches = BATCHES): Promise<Row[]> => {
  const meter = await startMeter()
  const program = await startProgram([meter], { prepare: (home) => prepareTrial(home, batches) })
  const cold = await opened(program.address)
  const kept = await opened(program.address)
  const again = await startAgain(program)
  const restarted = await opened(again.address)
  again.stop()
  await meter.close()
  const row = (what: string, found: Opened, budget: string): Row => ({
    what: `trial of ${batches} batches: ${what}`,
    ours: `${(found.ms / 1000).toFixed(2)} s, told ${found.told} times how far it is`,
    peer: `another question meanwhile: p99 ${found.others.toFixed(0)} ms, most ${found.longest.toFixed(0)} ms`,
    ratio: null,
    budget,
  })
  return [
    row('nothing worked out', cold, 'others ≤ 500 ms'),
    row('kept', kept, '≤ 1 s'),
    row('kept, after a start', restarted, '≤ 1 s'),
  ]
}

interface Opened {
  readonly ms: number
  readonly told: number
  readonly others: number
  readonly longest: number
}

const opened = async (address: string): Promise<Opened> => {
  const others: number[] = []
  let isOpen = true
  const asking = (async () => {
    while (isOpen) {
      const began = performance.now()
      await (await fetch(`${address}/api/benches`)).text()
      others.push(performance.now() - began)
      await sleep(10)
    }
  })()
  const began = performance.now()
  let told = 0
  for (;;) {
    const answer = (await (await fetch(`${address}/api/trials/${TRIAL}`)).json()) as TrialView | TrialWorking
    if (!('working' in answer)) break
    told += 1
    await sleep(500)
  }
  const ms = performance.now() - began
  isOpen = false
  await asking
  return { ms, told, others: quantile(others, 0.99), longest: Math.max(...others) }
}

/** The server alone, as after an upgrade: nothing is in its memory. */
const startAgain = async (program: RunningProgram): Promise<{ address: string; stop(): void }> => {
  program.server.kill('SIGKILL')
  await sleep(1000)
  const server = await startPart(program.home, ['serve'])
  const address = String(server.message['address'])
  const heads = (await (await fetch(`${address}/api/trials`)).json()) as TrialHead[]
  if (heads.length !== 1) throw new Error(`one trial was expected, got ${heads.length}`)
  return {
    address,
    stop() {
      server.child.kill('SIGKILL')
      program.stop()
    },
  }
}
