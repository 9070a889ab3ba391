import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, it, onTestFinished } from 'vitest'
import { type NewReading, QUALITIES } from '../../../ingest/reading/reading.ts'
import { gridOf, HOUR_US, MINUTE_US } from '../../../ingest/store/envelope-grid.ts'
import { READINGS_MIGRATIONS } from '../../../ingest/store/migrations.ts'
import { openFile } from '../../../ingest/store/open-file.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const potency = { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' } as const
const temperature = { bench: 'A', instrument: 'm', channel: 'fluid-temperature' } as const
const DAY_US = 24 * HOUR_US

const open = (path = join(temporaryFolder(), 'readings.db')) => {
  const store = new SqliteStore({ path, kind: 'real', writes: true })
  onTestFinished(() => void store.db.close())
  return store
}
const reading = (at: number, value: number | null = 1, more: Partial<NewReading> = {}): NewReading => ({
  series: potency,
  timeUs: timeUs(at),
  bootId: 'b',
  monoMs: at / 1000,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
  ...more,
})
const rollAllUp = (store: SqliteStore, most = 10_000) => {
  while (store.rollUp.step(most) > 0);
}

/** Every column added up from the readings themselves, one by one. */
const bruteForce = (
  readings: readonly NewReading[],
  [from, to, points]: readonly [number, number, number],
  rawKeptFrom = 0,
) => {
  const { origin, width } = gridOf(timeUs(from), timeUs(to), points, rawKeptFrom)
  const inside = readings.filter(
    (r) => r.series.channel === potency.channel && r.timeUs >= from && r.timeUs < to,
  )
  const bucketOf = (r: NewReading) => Math.floor((r.timeUs - origin) / width)
  return [...new Set(inside.map(bucketOf))]
    .sort((a, b) => a - b)
    .map((bucket) => {
      const own = inside.filter((r) => bucketOf(r) === bucket)
      const isGood = (r: NewReading) => r.quality === 'good' || r.quality === 'clipped'
      const values = own.flatMap((r) => (isGood(r) && r.value !== null ? [r.value] : []))
      return {
        timeUs: Math.max(from, origin + bucket * width),
        min: values.length === 0 ? null : Math.min(...values),
        max: values.length === 0 ? null : Math.max(...values),
        mean: values.length === 0 ? null : closeTo(values.reduce((a, b) => a + b, 0) / values.length),
        count: values.length,
        notGood: own.filter((r) => !isGood(r)).length,
      }
    })
}
/** Least and greatest are exact; a mean is a sum in another order. */
const closeTo = (mean: number) => expect.closeTo(mean, 6)

/** SQLite knows no negative zero. */
const withoutSign = (value: number) => (value === 0 ? 0 : value)

/** Clusters of a few minutes, days apart: minutes hold several readings, gaps are long, ranges begin and end beside readings. */
const moment = fc
  .tuple(fc.nat(11), fc.nat(3), fc.nat(3), fc.nat(59), fc.nat(3))
  .map(
    ([day, hour, min, s, part]) => day * DAY_US + hour * HOUR_US + min * MINUTE_US + s * 1e6 + part * 250e3,
  )
const arrivals = fc.uniqueArray(
  fc.record({
    at: moment,
    value: fc.option(fc.double({ min: -50, max: 500, noNaN: true }).map(withoutSign), { freq: 8 }),
    quality: fc.constantFrom(...QUALITIES, 'good' as const, 'good' as const, 'good' as const),
    series: fc.constantFrom(potency, potency, potency, temperature),
  }),
  { selector: (r) => `${r.series.channel} ${r.at}`, minLength: 1, maxLength: 300, size: 'max' },
)
const ranges = fc.array(
  fc
    .tuple(moment, moment, fc.oneof(fc.integer({ min: 1, max: 30 }), fc.integer({ min: 1, max: 2000 })))
    .map(([a, b, points]) => [Math.min(a, b), Math.max(a, b) + 1, points] as const),
  { minLength: 4, maxLength: 12 },
)

describe('the envelope from roll-ups', () => {
  it('is exactly that of the readings, for any readings, order of arrival, range and number of columns', () => {
    const store = open()
    let run = 0
    fc.assert(
      fc.property(arrivals, ranges, fc.array(fc.nat(120), { maxLength: 8 }), (made, wanted, steps) => {
        // a bench of its own for each run, in one file: what others left unrolled must not matter
        run += 1
        const bench = `run ${run}`
        const readings = made.map(({ at, value, quality, series }) =>
          reading(at, value, { quality, series: { ...series, bench } }),
        )
        // arrival in random order: late ones fall into minutes rolled up long before
        const share = Math.ceil(readings.length / (steps.length + 1))
        for (let i = 0; i * share < readings.length; i++) {
          store.appendNow(readings.slice(i * share, (i + 1) * share))
          store.rollUp.step(steps[i] ?? 1)
        }
        for (const range of wanted) {
          const [from, to, points] = range
          expect(store.envelopeNow({ ...potency, bench }, timeUs(from), timeUs(to), points)).toEqual(
            bruteForce(readings, range),
          )
        }
      }),
      { numRuns: 100 },
    )
  })

  it('counts a late reading at once, and once only after it is rolled up', () => {
    const store = open()
    store.appendNow([reading(10e6, 5), reading(DAY_US, 6)])
    rollAllUp(store)
    store.appendNow([reading(20e6, 9)])
    const first = () => store.envelopeNow(potency, timeUs(0), timeUs(2 * DAY_US), 100)[0]
    expect(first()).toMatchObject({ min: 5, max: 9, count: 2 })
    rollAllUp(store)
    expect(first()).toMatchObject({ min: 5, max: 9, count: 2 })
  })

  it('is still right after a step that was cut off half way', () => {
    const store = open()
    store.appendNow([reading(1e6, 5), reading(2e6, 7)])
    store.db.exec("CREATE TRIGGER cut BEFORE UPDATE ON rolled_up BEGIN SELECT RAISE(ABORT, 'cut'); END")
    expect(() => store.rollUp.step(10)).toThrow('cut')
    expect(store.db.prepare('SELECT count(*) FROM roll_up_minute').pluck().get()).toBe(0)
    store.db.exec('DROP TRIGGER cut')
    rollAllUp(store)
    expect(store.envelopeNow(potency, timeUs(0), timeUs(DAY_US), 10)).toMatchObject([
      { min: 5, max: 7, mean: 6, count: 2 },
    ])
    expect(store.rollUp.behind()).toBe(0)
  })

  it('of a file from before there were roll-ups is right before, while and after it is rolled up', () => {
    const path = join(temporaryFolder(), 'readings.db')
    const old = openFile({ path, kind: 'real', steps: READINGS_MIGRATIONS.slice(0, 1), writes: true })
    old.exec(`INSERT INTO boot (boot_id) VALUES ('b');
      INSERT INTO series (site, bench, instrument, channel, unit, port, interval_s, wired)
        VALUES ('', 'A', 'm', 'dissolved-ozone', 'mg/L', '', 1, 0);
      WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 129999)
        INSERT INTO reading (series, time_us, boot, mono_ms, raw, value, quality)
        SELECT 1, i * 2000000, 1, i, i % 97, i % 97, 0 FROM n`)
    old.close()
    const store = open(path)
    const look = () => store.envelopeNow(potency, timeUs(30e6), timeUs(3 * DAY_US), 20)
    const before = look()
    expect(before.reduce((sum, c) => sum + c.count, 0)).toBe(129_600 - 15)
    expect(store.rollUp.behind()).toBe(130_000)
    for (let i = 0; i < 5; i++) store.rollUp.step(10_000)
    expect(store.rollUp.behind()).toBe(80_000)
    expect(look()).toEqual(before)
    rollAllUp(store)
    expect(look()).toEqual(before)
  })
})

describe('the columns of a plot', () => {
  it('are at most as many as asked for, cover the range, and are whole minutes or hours where roll-ups serve them', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 2e15 }),
        fc.integer({ min: 1, max: 4e14 }),
        fc.integer({ min: 1, max: 5000 }),
        (from, length, points) => {
          const grid = gridOf(timeUs(from), timeUs(from + length), points)
          expect(grid.origin).toBeLessThanOrEqual(from)
          expect(grid.origin + grid.width * points).toBeGreaterThanOrEqual(from + length)
          const part = grid.unit ?? 1
          if (grid.unit === null) expect(grid.origin).toBe(from)
          expect([grid.origin % part, grid.width % part]).toEqual([0, 0])
          // rounding up to whole units loses at most half of the columns
          expect(grid.width).toBeLessThan(2 * (length / points + part))
        },
      ),
    )
  })

  it('of a short range are evenly divided, of a day and a year whole minutes and hours', () => {
    const units = [HOUR_US, 2 * DAY_US, 365 * DAY_US].map(
      (length) => gridOf(timeUs(0), timeUs(length), 1000).unit,
    )
    expect(units).toEqual([null, MINUTE_US, HOUR_US])
  })
})
