import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { EnvelopePoint } from '../../../ingest/store/store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { BENCH_SERIES, DAY_S, type LongFile, longFile, qualityAt, valueAt } from '../../bench/year-file.ts'

const DAYS = 30
const END_S = DAYS * DAY_S
/** Fifty times what it takes: a busy machine is no reason to fail, a range read from raw readings is. */
const OPENED_WITHIN_MS = 500
const AT_ONCE = 50_000

/** From, to (s, neither on a minute) and columns. */
const RANGES: readonly (readonly [number, number, number])[] = [
  [17.5, END_S - 12.5, 1000],
  [17.5, END_S - 12.5, 1],
  [-5000, END_S + 5000, 300],
  [3 * DAY_S + 59.999, 17 * DAY_S + 0.5, 1200],
  [29 * DAY_S + 3599.5, 29 * DAY_S + 3661, 1000],
  [12_345.25, 12_345.25 + 2 * DAY_S, 777],
  [40_000, 40_000 + 2 * DAY_S - 1, 10],
  [7 * DAY_S, 8 * DAY_S, 1200],
  [END_S - 3 * DAY_S, END_S + DAY_S, 50],
]

/** What readings of whole seconds from one time up to another come to, added up one by one. */
const addedUp = (fromUs: number, toUs: number) => {
  const first = Math.max(0, Math.ceil(fromUs / 1e6))
  const end = Math.min(END_S, Math.ceil(toUs / 1e6))
  let [min, max, sum, count, notGood] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, 0, 0]
  for (let s = first; s < end; s++) {
    if (qualityAt(s) !== 'good') {
      notGood += 1
      continue
    }
    const value = valueAt(s)
    min = Math.min(min, value)
    max = Math.max(max, value)
    sum += value
    count += 1
  }
  return { min, max, mean: sum / count, count, notGood }
}

describe('thirty days of readings at 1 Hz', () => {
  let file: LongFile

  beforeAll(() => {
    file = longFile(DAYS)
    while (file.store.rollUp.step(AT_ONCE) > 0);
  }, 300_000)

  afterAll(() => file?.remove())

  const open = ([from, to, columns]: (typeof RANGES)[number]): EnvelopePoint[] =>
    file.store.envelopeNow(BENCH_SERIES, timeUs(from * 1e6), timeUs(to * 1e6), columns)

  it.each(RANGES)(
    'from %d s to %d s in %i columns are, column by column, what the readings add up to',
    (...range) => {
      const [from, to, most] = range
      const columns = open(range)
      expect(columns.length).toBeGreaterThan(0)
      expect(columns.length).toBeLessThanOrEqual(most)
      for (const [i, { timeUs: at, ...column }] of columns.entries())
        expect(column).toEqual(addedUp(at, columns[i + 1]?.timeUs ?? to * 1e6))
      // and no reading is in no column
      const whole = addedUp(from * 1e6, to * 1e6)
      const total = (pick: (c: EnvelopePoint) => number) => columns.reduce((sum, c) => sum + pick(c), 0)
      expect([total((c) => c.count), total((c) => c.notGood)]).toEqual([whole.count, whole.notGood])
    },
  )

  it.each(RANGES)('from %d s to %d s in %i columns are there within half a second', (...range) => {
    const start = performance.now()
    open(range)
    expect(performance.now() - start).toBeLessThan(OPENED_WITHIN_MS)
  })
})
