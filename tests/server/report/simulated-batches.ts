import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { KeptResults, resultsFile } from '../../../ingest/store/kept-results.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { liveEstimate } from '../../../server/analysis/live.ts'
import type { Batch } from '../../../server/ledger/batch.ts'
import { Ledger } from '../../../server/ledger/ledger.ts'
import { BatchReports } from '../../../server/report/batch-report.ts'
import { keptDocuments } from '../../../server/report/kept-document.ts'
import { createResultKeeper } from '../../../server/report/result-keeper.ts'
import { pastBatches } from '../../../server/seed/history-plans.ts'
import { writeBatch } from '../../../server/seed/write-batch.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

export const HOUR_MS = 3_600_000
export const OPENED_MS = Date.parse('2026-03-02T09:00:00Z')
const [first] = pastBatches().map((p) => p.plan)
if (first === undefined) throw new Error('a plan was expected')
export const PLAN = first
const LASTS_MS = 1000 * (PLAN.steps.at(-1)?.atS ?? 0)

/** Three simulated batches at one bench, a day apart, and the keeper beside them. */
export const simulatedBatches = (batches = 3) => {
  const home = temporaryFolder()
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const ledger = new Ledger(join(home, 'ledger.db'), 'real')
  const results = new KeptResults(resultsFile(home), 'real')
  onTestFinished(() => {
    store.db.close()
    ledger.close()
    results.close()
  })
  const series = { bench: PLAN.bench, instrument: `meter-${PLAN.bench.toLowerCase()}`, site: 'Example' }
  const wired = { ...series, port: 'p', intervalS: 1, fullScale: null, wired: true }
  store.wire([
    { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
    { ...wired, channel: 'fluid-temperature', unit: '°C' },
  ])
  for (let day = 0; day < batches; day++) {
    const openedMs = OPENED_MS + day * 24 * HOUR_MS
    const whole = { plan: PLAN, openedMs, untilMs: openedMs + 10 * HOUR_MS, who: 'Ines' }
    writeBatch({ store, ledger, zone: 'UTC' }, whole)
  }
  const clock = { nowMs: OPENED_MS + (batches - 1) * 24 * HOUR_MS + LASTS_MS + 60_000 }
  const trouble: string[] = []
  const onTrouble = (error: unknown) => void trouble.push(String(error))
  const newReports = () =>
    new BatchReports({
      store,
      ledger,
      programVersion: '1.2.3',
      estimator: liveEstimate,
      rulesOfThumb: () => [],
      simulated: () => false,
      nowMs: () => clock.nowMs,
      kept: keptDocuments(results, ledger, onTrouble),
    })
  const newKeeper = (reports = newReports()) => {
    const { step } = createResultKeeper({
      ledger,
      reports,
      results,
      programVersion: '1.2.3',
      nowMs: () => clock.nowMs,
      onTrouble,
    })
    return { step, pass: () => until(() => step() === IDLE_MS) }
  }
  const kept = () => Number(results.db.prepare('SELECT count(*) FROM result').pluck().get())
  const entries = () => ledger.ofKind('results-kept')
  const removeBefore = (ms: number) => store.prune(timeUs(ms * 1000))
  return {
    ...{ home, store, ledger, results, clock, trouble, newReports, newKeeper, kept, entries, removeBefore },
    batch: (nth: number): Batch => {
      const found = [...newReports().batches()].reverse()[nth]
      if (!found) throw new Error('no such batch')
      return found
    },
  }
}

/** What the keeper asks for when it has nothing to do. */
export const IDLE_MS = 60_000

const until = (done: () => boolean): void => {
  for (let steps = 0; steps < 1000; steps++) if (done()) return
  throw new Error('it never comes to an end')
}

export const LONG_AFTER_MS = OPENED_MS + 100 * 24 * HOUR_MS
