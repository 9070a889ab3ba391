import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { NewReading, Quality } from '../../ingest/reading/reading.ts'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { ReadingStore } from '../../ingest/store/store.ts'
import { timeUs } from '../../ingest/units.ts'
import { hasInflux, type InfluxServer, startInflux } from '../support/influx-server.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

let influx: InfluxServer | undefined
let databases = 0
afterAll(() => influx?.close())

const openInflux = async (page?: number): Promise<ReadingStore> => {
  influx ??= await startInflux()
  const database = `contract_${++databases}`
  await influx.tell(`CREATE DATABASE ${database}`)
  const connection = connectInflux(influx.target(database), { kind: 'none' })
  return new InfluxStore({ connection, site: "Clinic, the 'new' one = 2", ...(page && { page }) })
}

interface Backend {
  readonly name: string
  readonly open: () => ReadingStore | Promise<ReadingStore>
  readonly prunes: boolean
  readonly isHere: boolean
}

/** One contract, every backend: each sentence of the interface's description is checked on each. */
const BACKENDS: readonly Backend[] = [
  {
    name: 'SQLite',
    open: () => new SqliteStore({ path: join(temporaryFolder(), 'readings.db'), kind: 'real', writes: true }),
    prunes: true,
    isHere: true,
  },
  { name: 'InfluxDB 1.6', open: () => openInflux(), prunes: false, isHere: hasInflux },
  { name: 'InfluxDB 1.6, small pages', open: () => openInflux(300), prunes: false, isHere: hasInflux },
  { name: 'InfluxDB 1.6, huge pages', open: () => openInflux(1e6), prunes: false, isHere: hasInflux },
]

const series = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const
const reading = (s: number, value: number | null, quality: Quality = 'good'): NewReading => ({
  series,
  timeUs: timeUs(s * 1e6),
  bootId: 'boot-1',
  monoMs: s * 1000 + 0.25,
  raw: value,
  value,
  quality,
  movedUs: 0,
})
const all = (store: ReadingStore) => store.range(series, timeUs(0), timeUs(1e12))

for (const { name, open, prunes, isHere } of BACKENDS)
  describe.skipIf(!isHere)(`a store of readings (${name})`, () => {
    it('gives back what was appended, in order of time and with every field', async () => {
      const store = await open()
      const result = await store.append([reading(2, 18.1), reading(1, null, 'fault')])
      expect(result.stored.map((r) => r.seq)).toEqual([1, 2])
      const found = await all(store)
      expect(found.map(({ seq: _, ...r }) => r)).toEqual([reading(1, null, 'fault'), reading(2, 18.1)])
      await store.close()
    })

    it('takes an identical reading again as a no-op', async () => {
      const store = await open()
      await store.append([reading(1, 18.1)])
      expect(await store.append([reading(1, 18.1)])).toMatchObject({
        stored: [],
        repeated: 1,
        conflicting: [],
      })
      expect(await all(store)).toHaveLength(1)
      await store.close()
    })

    it('refuses a different reading at the same identity and never writes over the first', async () => {
      const store = await open()
      await store.append([reading(1, 18.1)])
      const result = await store.append([reading(1, 99), reading(2, 18)])
      expect(result.conflicting.map((r) => r.value)).toEqual([99])
      expect((await all(store)).map((r) => r.value)).toEqual([18.1, 18])
      await store.close()
    })

    it('keeps apart series that differ in bench, instrument or channel only', async () => {
      const store = await open()
      const other = { ...reading(1, 5), series: { ...series, channel: 'fluid-temperature' as const } }
      await store.append([reading(1, 18.1), other, { ...reading(1, 7), series: { ...series, bench: 'B' } }])
      expect((await all(store)).map((r) => r.value)).toEqual([18.1])
      await store.close()
    })

    it('includes the start of a range and excludes its end', async () => {
      const store = await open()
      await store.append([1, 2, 3].map((s) => reading(s, s)))
      expect((await store.range(series, timeUs(1e6), timeUs(3e6))).map((r) => r.value)).toEqual([1, 2])
      await store.close()
    })

    it('puts late readings in their place in time', async () => {
      const store = await open()
      await store.append([reading(10, 10), reading(30, 30)])
      await store.append([reading(20, 20)])
      expect((await all(store)).map((r) => r.value)).toEqual([10, 20, 30])
      await store.close()
    })

    it('gives back a long range whole, each reading once', async () => {
      const store = await open()
      await store.append(Array.from({ length: 12_345 }, (_, i) => reading(i, i)))
      const found = await all(store)
      expect(found).toHaveLength(12_345)
      expect(found.every((r, i) => r.value === i)).toBe(true)
      await store.close()
    })

    it('envelopes exactly: least and greatest of the good values of each column, the rest counted apart', async () => {
      const store = await open()
      const many = Array.from({ length: 1000 }, (_, i) =>
        reading(i, Math.sin(i / 7) * 10, i % 100 === 50 ? 'probe-out' : 'good'),
      )
      await store.append(many)
      const columns = await store.envelope(series, timeUs(0), timeUs(1000e6), 10)
      expect(columns).toHaveLength(10)
      columns.forEach((column, c) => {
        const own = many
          .slice(c * 100, c * 100 + 100)
          .filter((r) => r.quality === 'good')
          .map((r) => r.value ?? 0)
        expect(column).toMatchObject({
          timeUs: c * 100e6,
          min: Math.min(...own),
          max: Math.max(...own),
          count: 99,
          notGood: 1,
        })
        expect(column.mean).toBeCloseTo(own.reduce((a, b) => a + b, 0) / own.length, 9)
      })
      await store.close()
    })

    it('gives at most as many columns as asked for, which together hold every reading of a long range once', async () => {
      const store = await open()
      const seconds = Array.from({ length: 500 }, (_, i) => i * 1201.5)
      await store.append(seconds.map((s) => reading(s, s)))
      const [from, to] = [timeUs(3000e6 + 1), timeUs(500_000e6 + 1)]
      const inside = seconds.filter((s) => s * 1e6 >= from && s * 1e6 < to)
      for (const points of [1, 7, 200, 5000]) {
        const columns = await store.envelope(series, from, to, points)
        expect(columns.length).toBeLessThanOrEqual(points)
        expect(columns.reduce((sum, c) => sum + c.count, 0)).toBe(inside.length)
        expect([columns[0]?.min, columns.at(-1)?.max]).toEqual([inside[0], inside.at(-1)])
      }
      await store.close()
    })

    it('leaves out columns without a reading and gives no number to a column of faults', async () => {
      const store = await open()
      await store.append([reading(5, null, 'fault'), reading(95, 1)])
      expect(await store.envelope(series, timeUs(0), timeUs(100e6), 10)).toMatchObject([
        { timeUs: 0, min: null, max: null, mean: null, count: 0, notGood: 1 },
        { timeUs: 90e6, min: 1, max: 1, count: 1, notGood: 0 },
      ])
      await store.close()
    })

    it('keeps two readings of one millisecond two, to the microsecond', async () => {
      const store = await open()
      const at = 1_789_000_000_123_456
      const two = [at, at + 1].map((t) => ({ ...reading(1, t - at + 5), timeUs: timeUs(t), movedUs: t - at }))
      await store.append(two)
      const found = await store.range(series, timeUs(at), timeUs(at + 2))
      expect(found.map(({ seq: _, ...r }) => r)).toEqual(two)
      await store.close()
    })

    it('sees a repeat and a conflict inside one batch, and a number where there was none', async () => {
      const store = await open()
      const result = await store.append([
        reading(1, 5),
        reading(1, 5),
        reading(1, 6),
        reading(2, null, 'fault'),
      ])
      expect(result).toMatchObject({ repeated: 1, conflicting: [{ value: 6 }] })
      expect((await store.append([reading(2, 7)])).conflicting).toHaveLength(1)
      expect((await all(store)).map((r) => r.value)).toEqual([5, null])
      await store.close()
    })

    it('prunes readings before a moment and says how many, or says plainly that it does not', async () => {
      const store = await open()
      await store.append([1, 2, 3].map((s) => reading(s, s)))
      if (!prunes) {
        await expect(store.prune(timeUs(3e6))).rejects.toThrow('by its own retention')
        expect(await all(store)).toHaveLength(3)
        return store.close()
      }
      const ofAWeek = () => store.envelope(series, timeUs(0), timeUs(7 * 86_400e6), 100)
      const before = await ofAWeek()
      expect(before).toMatchObject([{ min: 1, max: 3, count: 3 }])
      expect(await store.prune(timeUs(3e6))).toBe(2)
      expect((await all(store)).map((r) => r.value)).toEqual([3])
      expect(await ofAWeek()).toEqual(before)
      await store.close()
    })

    it('answers a question about an unknown series with nothing', async () => {
      const store = await open()
      expect(await all(store)).toEqual([])
      expect(await store.envelope(series, timeUs(0), timeUs(1e6), 5)).toEqual([])
      await store.close()
    })
  })
