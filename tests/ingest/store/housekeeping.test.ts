import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { NewReading } from '../../../ingest/reading/reading.ts'
import { createHousekeeping } from '../../../ingest/store/housekeeping.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { handClock } from '../../support/hand-clock.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const NOW = '2026-03-10T12:00:00Z'
const NOW_US = Date.parse(NOW) * 1000
const DAY_S = 86_400

const reading = (daysAgo: number): NewReading => ({
  series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
  timeUs: timeUs(NOW_US - Math.round(daysAgo * DAY_S * 1e6)),
  bootId: 'b',
  monoMs: 1,
  raw: 1,
  value: 1,
  quality: 'good',
  movedUs: 0,
})

const create = (
  keepRawDays: number | null,
  ages: readonly number[],
  removableUpTo = Number.MAX_SAFE_INTEGER,
  keptBeforeDaysAgo = 0,
) => {
  const store = new SqliteStore({ path: join(temporaryFolder(), 'readings.db'), kind: 'real', writes: true })
  onTestFinished(() => void store.db.close())
  store.appendNow(ages.map(reading))
  const clock = handClock(NOW)
  const told = { trouble: 0, left: [] as number[] }
  const { step } = createHousekeeping({
    rollUp: store.rollUp,
    retention: store.retention,
    clock: clock.daemon,
    keepRawDays,
    removableUpTo: () => removableUpTo,
    removableBefore: () => timeUs(NOW_US - keptBeforeDaysAgo * DAY_S * 1e6),
    onTrouble: () => {
      told.trouble += 1
    },
    onCatchingUp: (left) => told.left.push(left),
  })
  /** Steps until there is nothing to do; on a busy machine a step itself may want a rest of seconds. */
  const settle = () => {
    const before = told.trouble
    for (let steps = 1; steps < 100_000; steps++)
      if (step() === NOTHING_TO_DO_MS || told.trouble > before) return steps
    throw new Error('it never settles')
  }
  const left = () => store.after(0, 1_000_000).map((r) => (NOW_US - r.timeUs) / (DAY_S * 1e6))
  return { store, clock, settle, left, told }
}

/** What a step without work asks for. */
const NOTHING_TO_DO_MS = 1000
const AGES = [40, 35, 31, 29, 10, 0.5]

describe('housekeeping of the store', () => {
  it('rolls readings up soon after its start, then once a minute while few arrive', () => {
    const { store, clock, settle } = create(null, AGES)
    settle()
    expect(store.rollUp.behind()).toBe(0)
    store.appendNow([reading(0.4)])
    clock.pass(59)
    settle()
    expect(store.rollUp.behind()).toBe(1)
    clock.pass(1)
    settle()
    expect(store.rollUp.behind()).toBe(0)
  })

  it('does a large file in many short steps and says how much is left', () => {
    const { store, settle, told } = create(null, AGES)
    store.db.exec(`WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 150000)
      INSERT INTO reading (series, time_us, boot, mono_ms, raw, value, quality) SELECT 1, i * 1000000, 1, i, i, i, 0 FROM n`)
    expect(settle()).toBeGreaterThan(15)
    expect(told.left).toEqual([150_006, 0])
    expect(store.rollUp.behind()).toBe(0)
  })

  it('removes nothing where no number of days is set', () => {
    const { clock, settle, left } = create(null, AGES)
    clock.pass(3600)
    settle()
    expect(left()).toEqual(AGES)
  })

  it('removes raw readings older than the days set, not in the first ten minutes', () => {
    const { clock, settle, left } = create(30, AGES)
    settle()
    expect(left()).toEqual(AGES)
    clock.pass(600)
    settle()
    expect(left()).toEqual([29, 10, 0.5])
  })

  it('removes nothing after the wall clock has jumped', () => {
    const { clock, settle, left } = create(30, AGES)
    clock.step(400 * DAY_S)
    clock.pass(3600)
    settle()
    expect(left()).toEqual(AGES)
  })

  it('keeps what another place is still to get', () => {
    const { clock, settle, left } = create(30, AGES, 1)
    settle()
    clock.pass(600)
    settle()
    expect(left()).toEqual(AGES.slice(1))
  })

  it('keeps what results are still to be worked out from', () => {
    const { settle, clock, left } = create(30, AGES, undefined, 33)
    settle()
    clock.pass(600)
    settle()
    expect(left()).toEqual([31, 29, 10, 0.5])
  })

  it('says when the file refuses, and goes on later', () => {
    const { store, clock, settle, told } = create(null, AGES)
    store.db.exec("CREATE TRIGGER full BEFORE UPDATE ON rolled_up BEGIN SELECT RAISE(ABORT, 'full'); END")
    settle()
    expect(told.trouble).toBe(1)
    store.db.exec('DROP TRIGGER full')
    clock.pass(60)
    settle()
    expect(store.rollUp.behind()).toBe(0)
  })
})
