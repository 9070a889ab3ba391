import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { foldBatch, gasState } from '../../../server/ledger/batch.ts'
import { newestBatchAt } from '../../../server/ledger/newest-batch.ts'
import { DEMO_OPERATOR, livePlans } from '../../../server/seed/clinic.ts'
import { pastBatches } from '../../../server/seed/history-plans.ts'
import { scriptedStep } from '../../../server/seed/scripted-operator.ts'
import { writeBatch } from '../../../server/seed/write-batch.ts'
import { newEntry, temporaryLedger } from '../../support/entries.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const start = (p: ReturnType<typeof pastBatches>[number]) => -p.daysAgo * 1440 + p.minuteOfDay
const end = (p: ReturnType<typeof pastBatches>[number]) => start(p) + (p.plan.steps.at(-1)?.atS ?? 0) / 60

describe('the invented history', () => {
  const past = pastBatches()

  it('has at least 24 batches of three fluids by several people from several lots', () => {
    expect(past.length).toBeGreaterThanOrEqual(24)
    expect(new Set(past.map((p) => p.plan.settings.fluid))).toEqual(
      new Set(['saline', 'distilled', 'filtered']),
    )
    expect(new Set(past.map((p) => p.who)).size).toBeGreaterThanOrEqual(3)
    expect(new Set(past.map((p) => p.plan.settings.lot)).size).toBeGreaterThanOrEqual(5)
  })

  it('never has two batches in one flask at a time', () => {
    for (const bench of ['A', 'B']) {
      const own = past.filter((p) => p.plan.bench === bench)
      own.forEach((p, i) => {
        const next = own[i + 1]
        if (next) expect(start(next)).toBeGreaterThan(end(p))
      })
    }
  })

  it('is the same every time', () => {
    expect(pastBatches()).toEqual(past)
  })
})

const written = (untilS: number) => {
  const { ledger } = temporaryLedger()
  const store = new SqliteStore({
    path: join(temporaryFolder(), 'readings.db'),
    kind: 'simulated',
    writes: true,
  })
  const plan = livePlans(1).A
  const openedMs = Date.parse('2026-03-14T09:00:00Z')
  writeBatch(
    { store, ledger, zone: 'UTC' },
    { plan, openedMs, untilMs: openedMs + untilS * 1000, who: DEMO_OPERATOR },
  )
  return { ledger, store, plan, openedMs }
}

describe('a seeded batch', () => {
  it('holds the readings and entries up to a moment and nothing later', async () => {
    const { ledger, store, openedMs } = written(120)
    const batch = newestBatchAt(ledger, 'A')
    expect(batch && gasState(batch).kind).toBe('bubbling')
    expect(batch?.entries.map((e) => e.kind)).toEqual(['batch-opened', 'ozone-on'])
    const readings = store.after(0, 1000)
    expect(readings).toHaveLength(2 * 120)
    expect(Math.max(...readings.map((r) => r.timeUs))).toBeLessThan((openedMs + 120_000) * 1000)
    await store.close()
  })
})

describe('the scripted operator', () => {
  it('opens a batch at an empty bench and then does each step when it is due', () => {
    const { ledger, plan, openedMs } = written(30)
    const batch = newestBatchAt(ledger, 'A')
    expect(scriptedStep(undefined, plan, openedMs)).toEqual({ kind: 'open' })
    expect(scriptedStep(batch, plan, openedMs + 30_000)).toBeUndefined()
    expect(scriptedStep(batch, plan, openedMs + 61_000)).toEqual({
      kind: 'act',
      action: { kind: 'ozone-on' },
    })
  })

  it('leaves a bench alone once a person has done anything there', () => {
    const { ledger, plan, openedMs } = written(30)
    const batch = newestBatchAt(ledger, 'A')
    ledger.append(newEntry('note', 0, { text: 'mine now' }, { batch: batch?.id ?? null }))
    const taken = foldBatch(ledger.ofBatch(batch?.id ?? ''))
    expect(scriptedStep(taken, plan, openedMs + 3_600_000)).toBeUndefined()
  })

  it('waits a little after a discard before it fills the flask again', () => {
    const { ledger, plan } = written(3600)
    const batch = newestBatchAt(ledger, 'A')
    const discarded = Date.parse(batch?.discardedAt ?? '')
    expect(scriptedStep(batch, plan, discarded + 10_000)).toBeUndefined()
    expect(scriptedStep(batch, plan, discarded + 60_000)).toEqual({ kind: 'open' })
  })
})
