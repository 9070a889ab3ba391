import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { daysUntilFull, type StoreSize, sizeOf } from '../../../ingest/store/size.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const NOON_S = 1_767_268_800

/** Readings every ten seconds over so many hours up to noon. */
const create = (hours: number) => {
  const path = join(temporaryFolder(), 'readings.db')
  const store = new SqliteStore({ path, kind: 'real', writes: true })
  onTestFinished(() => void store.db.close())
  const add = (fromS: number, toS: number) =>
    store.appendNow(
      Array.from({ length: (toS - fromS) / 10 }, (_, i) => ({
        series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
        timeUs: timeUs((fromS + i * 10) * 1e6),
        bootId: 'b',
        monoMs: i,
        raw: i / 7,
        value: i / 7,
        quality: i % 10 === 0 ? 'fault' : 'good',
        movedUs: 0,
      })),
    )
  add(NOON_S - hours * 3600, NOON_S)
  while (store.rollUp.step(10_000) > 0);
  return { store, add, size: () => sizeOf(store.db, store.rollUp, timeUs((NOON_S + 60) * 1e6)) }
}

describe('the size of the store', () => {
  it('counts readings, rolled up or not, until they are removed', () => {
    const { store, add, size } = create(48)
    add(NOON_S, NOON_S + 60)
    expect(size().readings).toBe(48 * 360 + 6)
    while (store.rollUp.step(10_000) > 0);
    store.retention.slice({
      before: timeUs((NOON_S - 24 * 3600) * 1e6),
      sliceUs: Number.POSITIVE_INFINITY,
      sparing: true,
    })
    expect(size().readings).toBe(24 * 360 + 6)
    expect(store.db.prepare('SELECT count(*) FROM reading').pluck().get()).toBe(24 * 360 + 6)
    expect(size().freeInFileBytes).toBeGreaterThan(0)
  })

  it('tells the rate of a day from the last whole hours, all qualities counted', () => {
    expect(create(30).size().readingsPerDay).toBe(8640)
    expect(create(6).size().readingsPerDay).toBe(8640)
  })

  it('tells no rate before three hours and no bytes per reading from a nearly empty file', () => {
    const { readingsPerDay, bytesPerReading } = create(2).size()
    expect([readingsPerDay, bytesPerReading]).toEqual([null, null])
  })
})

const SIZE: StoreSize = {
  readings: 1e6,
  bytesPerReading: 100,
  readingsPerDay: 100_000,
  rolledPerDay: 1000,
  notRolledUp: 0,
  freeInFileBytes: 0,
}

describe('the day on which the disk is full', () => {
  it('is free space over growth where all is kept', () => {
    // 100,000 readings of 100 bytes are 10 MB a day
    expect(daysUntilFull(SIZE, 500e6, null)).toBeCloseTo(50, 9)
  })

  it('does not move while the kept days do not fit, and is far off once they do', () => {
    expect(daysUntilFull(SIZE, 500e6, 400)).toBeCloseTo(50, 9)
    // 20 more days fill what 30 days need (200 MB); the other 300 MB go to roll-ups, 1,000 rows a day
    const days = daysUntilFull(SIZE, 500e6, 30)
    expect(days).toBeGreaterThan(20 + 300e6 / (1000 * 100))
    expect(days).toBeLessThan(20 + 300e6 / (1000 * 20))
  })

  it('is not told without a rate, nor when it is beyond a century', () => {
    expect(daysUntilFull({ ...SIZE, readingsPerDay: null }, 500e6, null)).toBeNull()
    expect(daysUntilFull({ ...SIZE, readingsPerDay: 0 }, 500e6, null)).toBeNull()
    expect(daysUntilFull(SIZE, 1e15, null)).toBeNull()
  })
})
