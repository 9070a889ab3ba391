import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { NewReading, SeriesKey } from '../../../ingest/reading/reading.ts'
import { HOUR_US, MINUTE_US } from '../../../ingest/store/envelope-grid.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const meter = { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' } as const
const imported = { bench: 'A', instrument: 'import:0a1b2c3d', channel: 'dissolved-ozone' } as const
const DAY_US = 24 * HOUR_US

const reading = (at: number, value: number, series: SeriesKey = meter): NewReading => ({
  series,
  timeUs: timeUs(at),
  bootId: 'b',
  monoMs: at / 1000,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
})

/** Four days, a reading every ten minutes and five seconds past: no column starts with one. */
const fourDays = Array.from({ length: 4 * 144 }, (_, i) => reading(i * 600e6 + 5e6, i % 97))

const create = (readings: readonly NewReading[] = fourDays) => {
  const store = new SqliteStore({ path: join(temporaryFolder(), 'readings.db'), kind: 'real', writes: true })
  onTestFinished(() => void store.db.close())
  store.appendNow(readings)
  while (store.rollUp.step(10_000) > 0);
  const slice = (before: number, sliceUs = Number.POSITIVE_INFINITY) =>
    store.retention.slice({ before: timeUs(before), sliceUs, sparing: true })
  const times = (series: SeriesKey = meter) =>
    store.rangeNow(series, timeUs(0), timeUs(1e13)).map((r) => r.timeUs)
  const envelope = (from: number, to: number, points: number) =>
    store.envelopeNow(meter, timeUs(from), timeUs(to), points)
  return { store, slice, times, envelope }
}

describe('raw readings that the retention setting removes', () => {
  it('go oldest first, a slice of time at once, up to the moment and no further', () => {
    const { slice, times } = create()
    expect(slice(2 * DAY_US, HOUR_US)).toBe(6)
    expect(times()[0]).toBe(HOUR_US + 5e6)
    let slices = 1
    while (slice(2 * DAY_US, HOUR_US) > 0) slices += 1
    expect(slices).toBe(48)
    expect(times()).toEqual(fourDays.slice(288).map((r) => r.timeUs))
  })

  it('leave the roll-ups: long ranges look the same before and after', () => {
    const { slice, envelope } = create()
    const views = () => [
      envelope(0, 4 * DAY_US, 50),
      envelope(0, 3 * DAY_US, 1000),
      envelope(DAY_US, 2 * DAY_US + HOUR_US, 10),
    ]
    const before = views()
    expect(before[0]?.reduce((sum, c) => sum + c.count, 0)).toBe(fourDays.length)
    slice(2 * DAY_US)
    expect(views()).toEqual(before)
  })

  it('leave whole minutes to a short range that asks for finer columns', () => {
    const { slice, envelope } = create()
    slice(2 * DAY_US)
    expect(envelope(600e6, 1800e6 + 5e6, 1000)).toMatchObject([
      { timeUs: 600e6, min: 1, max: 1, count: 1 },
      { timeUs: 1200e6, min: 2, max: 2, count: 1 },
      { timeUs: 1800e6, min: 3, max: 3, count: 1 },
    ])
    expect(envelope(600e6, 1800e6, 1000)[0]?.timeUs).toBe(10 * MINUTE_US)
  })

  it('are still counted in their minute when another one of it comes late', () => {
    const { store, slice, envelope } = create()
    slice(2 * DAY_US)
    store.appendNow([reading(605e6 + 1e6, 50)])
    const tenthMinute = () => envelope(600e6, 660e6, 1)
    expect(tenthMinute()).toMatchObject([{ min: 1, max: 50, count: 2 }])
    store.rollUp.step(10)
    slice(2 * DAY_US)
    expect(tenthMinute()).toMatchObject([{ min: 1, max: 50, count: 2 }])
  })

  it('are said to be removed, per series', () => {
    const { store, slice } = create([...fourDays, reading(1e6, 1, imported)])
    expect(store.rawKeptFrom(meter)).toBeUndefined()
    slice(2 * DAY_US)
    expect(store.rawKeptFrom(meter)).toBe(2 * DAY_US)
    expect(store.rawKeptFrom(imported)).toBeUndefined()
  })

  it('never are those of an imported file, nor the newest of a meter, nor any that is not rolled up yet', () => {
    const { store, slice, times } = create([reading(1e6, 1), reading(2e6, 2), reading(1e6, 3, imported)])
    store.appendNow([reading(0.5e6, 4)])
    slice(2 * DAY_US)
    expect(times()).toEqual([0.5e6, 2e6])
    expect(times(imported)).toEqual([1e6])
    expect(store.newestTime(meter)).toBe(2e6)
  })
})
