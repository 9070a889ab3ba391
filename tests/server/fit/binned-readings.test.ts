import { describe, expect, it } from 'vitest'
import { BinnedReadings } from '../../../server/fit/binned-readings.ts'
import { fitDecay } from '../../../server/fit/decay-fit.ts'
import { noiseOf } from './random.ts'

const LONGEST = 10_800
const times = Float64Array.from({ length: LONGEST }, (_, i) => i / 60)
const noise = noiseOf(LONGEST, { sd: 0.2, correlationS: 20, white: 0.3 }, 4)
const values = times.map((t, i) => 20 * 2 ** (-t / 90) + (noise[i] ?? 0) + (i % 50 === 7 ? 4 : 0))

/** Mean count of readings looked at one by one in a fit that one new reading brings, over a hundred of them. */
const touchedPerUpdate = (n: number): number => {
  const binned = new BinnedReadings()
  const refit = (count: number) =>
    fitDecay({ times: times.subarray(0, count), values: values.subarray(0, count), order: 1, binned })
  refit(n - 100)
  const before = binned.touched
  for (let count = n - 99; count <= n; count++) refit(count)
  return (binned.touched - before) / 100
}

describe('readings kept in bins from fit to fit', () => {
  it('are hardly looked at when one more comes, though every fiftieth is a spike: those of the last bin, at most 32', () => {
    expect(touchedPerUpdate(1800)).toBeLessThan(40)
    expect(touchedPerUpdate(LONGEST)).toBeLessThan(40)
  })

  it('give the fit of new ones', () => {
    const binned = new BinnedReadings()
    const data = (count: number) => ({
      times: times.subarray(0, count),
      values: values.subarray(0, count),
      order: 1 as const,
    })
    for (const count of [400, 513, 2000, 2001, 6000])
      expect(fitDecay({ ...data(count), binned })).toEqual(fitDecay(data(count)))
  })
})
