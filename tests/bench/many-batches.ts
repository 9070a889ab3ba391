import { join } from 'node:path'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { Ledger } from '../../server/ledger/ledger.ts'
import { pastBatches } from '../../server/seed/history-plans.ts'
import { writeBatch } from '../../server/seed/write-batch.ts'
import { joinBatch, planTrial } from '../../server/trial/change-trial.ts'
import type { PrepTimePlan } from '../../server/trial/trial.ts'

export const TRIAL = '01900000-0000-7000-8000-0000000000aa'
const HOUR_MS = 3_600_000
const SINCE_MS = Date.parse('2026-01-05T06:00:00Z')

/** As the seeded clinic bubbles its saline. */
const PLAN: PrepTimePlan = {
  kind: 'prep-time',
  title: 'many batches',
  ...{ volume_ml: 250, gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' }, flow_ml_per_min: 500 },
  limits: {
    ...{ gas_percent: 20, flow_percent: 20, volume_percent: 5 },
    ...{ temperature_low_c: 3, temperature_high_c: 14 },
  },
  ...{ confidence_percent: 95, coverage_percent: 90, batches: 5, days: 3, seed: 'bench' },
  ...{ fluid: 'saline', benches: ['b0'], purge: 'through-the-fluid', prep_min: 9, target_mg_l: 12 },
  criterion: { kind: 'fraction', percent: 95 },
}

/** A home with so many finished batches of an hour, readings at 1 Hz, all of them in one trial. */
export const prepareTrial = (home: string, batches: number): void => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'simulated', writes: true })
  const wired = {
    bench: 'b0',
    instrument: 'm0',
    site: 'S',
    port: 'p0',
    intervalS: 1,
    fullScale: null,
    wired: true,
  }
  store.wire([
    { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
    { ...wired, channel: 'fluid-temperature', unit: '°C' },
  ])
  const ledger = new Ledger(join(home, 'ledger.db'), 'simulated')
  const saline = pastBatches().filter((p) => p.plan.settings.fluid === 'saline')
  for (let i = 0; i < batches; i++) {
    const plan = saline[i % saline.length]?.plan
    const openedMs = SINCE_MS + i * HOUR_MS
    if (plan)
      writeBatch(
        { store, ledger, zone: 'UTC' },
        {
          plan: { ...plan, bench: 'b0', seed: i },
          openedMs,
          untilMs: openedMs + HOUR_MS,
          who: 'bench',
        },
      )
  }
  const change = (i: number, why: string | null) => ({
    id: `01900000-0000-7000-9000-${String(i).padStart(12, '0')}`,
    ...{ trial: TRIAL, who: { name: 'bench', how: 'typed' as const }, why, nowMs: SINCE_MS },
  })
  planTrial(ledger, change(0, null), PLAN)
  let next = 1
  for (const id of ledger.batchesOpenedAt('b0')) {
    joinBatch(ledger, change(next, 'measured'), id)
    next += 1
  }
  ledger.close()
  store.db.close()
}
