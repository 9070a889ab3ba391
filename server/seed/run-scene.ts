import { v7 as uuidv7 } from 'uuid'
import { readConfig } from '../../ingest/bench-simulator/main-config.ts'
import type { BenchScript } from '../../ingest/bench-simulator/script.ts'
import { startBenches } from '../../ingest/bench-simulator/start-benches.ts'
import { readIngestConfig } from '../../ingest/config.ts'
import { readServerConfig, type Surroundings } from '../config.ts'
import { ledgerFile } from '../home-files.ts'
import { Ledger } from '../ledger/ledger.ts'
import { newestBatchAt } from '../ledger/newest-batch.ts'
import type { Act } from '../wire.ts'
import { type BatchPlan, scriptOf } from './batch-plan.ts'
import { DEMO_OPERATOR, livePlans } from './clinic.ts'
import { scriptedStep } from './scripted-operator.ts'
import { bySheet } from './sheets.ts'

const LOOK_EVERY_MS = 1000

/** The demonstration's scene: the simulated benches, and an operator who works at them through the program's own API. */
export const runScene = async ({ home, host, port }: Surroundings): Promise<void> => {
  const ledger = new Ledger(ledgerFile(home), 'simulated')
  const ports = readIngestConfig(home).ports
  const benches = readServerConfig(home).benches.filter((b) => b.control !== null)
  const tcpPortOf = (bench: string): number => {
    const source = ports.find((p) => p.instruments.some((i) => i.bench === bench))?.source
    return source?.kind === 'tcp' ? source.port : 0
  }
  const running = await startBenches(
    readConfig(
      {
        benches: benches.map((b) => ({
          id: b.id.toLowerCase(),
          tcpPort: tcpPortOf(b.id),
          controlPort: b.control?.port,
          ...sceneOf(b.id, ledger),
        })),
      },
      Date.now(),
    ),
    (id, why) => process.stderr.write(`scene: ${id}: ${why}\n`),
  )
  const act = (bench: string, batch: string, entry: Act['entry'], expectedSeq: number) =>
    fetch(`http://${host}:${port}/api/batches/${batch}/entries`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({
        id: uuidv7(),
        bench,
        who: DEMO_OPERATOR,
        expected_seq: expectedSeq,
        entry,
      } satisfies Act),
    })
  const timer = setInterval(() => {
    for (const { id } of benches) void workAt(id, ledger, act).catch(() => {}) // the server may be starting; the next look tries again
  }, LOOK_EVERY_MS)
  const end = async () => {
    clearInterval(timer)
    await running.close()
    ledger.close()
    process.exit(0)
  }
  process.once('SIGTERM', () => void end())
  process.once('SIGINT', () => void end())
  if (process.connected) process.once('disconnect', () => void end())
  process.send?.({ kind: 'started', part: 'scene' })
}

/** The plan behind a batch: its seed is in the moment of its opening, so that a restart finds the same noise. */
const planOf = (bench: string, openedMs: number): BatchPlan => {
  const plans = livePlans(Math.floor(openedMs / 1000) % 1_000_000)
  return bench === 'B' ? plans.B : plans.A
}

/** The simulation of an open batch up to now, from what the ledger says was done. */
const sceneOf = (bench: string, ledger: Ledger): { script: BenchScript; startEpochMs: number } => {
  const batch = newestBatchAt(ledger, bench)
  if (!batch || batch.discardedAt) return { script: { seed: 1, events: [] }, startEpochMs: Date.now() }
  const startEpochMs = Date.parse(batch.openedAt)
  const steps = batch.entries
    .filter((e) => !batch.undone.has(e.id) && e.kind !== 'batch-opened')
    .map((e) => ({
      atS: Math.max(0, (Date.parse(e.happened_at) - startEpochMs) / 1000),
      kind: e.kind,
      ml: e.kind === 'drawn-up' ? e.data.ml : undefined,
    }))
    .sort((a, b) => a.atS - b.atS)
  const { pour, seed } = planOf(bench, startEpochMs)
  return { script: scriptOf({ settings: batch.settings, pour, seed }, steps), startEpochMs }
}

type ActFunction = (
  bench: string,
  batch: string,
  entry: Act['entry'],
  expectedSeq: number,
) => Promise<unknown>

const workAt = async (bench: string, ledger: Ledger, act: ActFunction): Promise<void> => {
  const batch = newestBatchAt(ledger, bench)
  const plan = planOf(bench, batch ? Date.parse(batch.openedAt) : Date.now())
  const step = scriptedStep(batch, plan, Date.now())
  if (!step) return
  if (step.kind === 'open')
    await act(bench, uuidv7(), { kind: 'batch-opened', data: bySheet(plan.settings, ledger) }, 0)
  else if (batch) await act(bench, batch.id, step.action, batch.newestSeq)
}
