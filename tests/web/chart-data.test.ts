import { describe, expect, it } from 'vitest'
import { begunAnew, chartData, fixedOrigin, MAX_POINTS, thinned } from '../../web/charts/chart-data.ts'
import { timeTicks } from '../../web/charts/time-axis.ts'
import { iso, standing } from '../support/fake-bench.ts'
import { fakeCurves } from '../support/fake-curves.ts'

const NOW = Date.parse('2026-03-04T13:00:00Z')

describe('points of the chart', () => {
  it('leaves few points as they are', () => {
    const few = [
      { x: 0, y: 1 },
      { x: 1, y: 2 },
    ]
    expect(thinned(few)).toBe(few)
  })

  it('keeps the highest peak and the deepest dip of many, in time order, within the bound', () => {
    const many = Array.from({ length: 14_400 }, (_, i) => ({
      x: i,
      y: i === 7001 ? 99 : i === 9003 ? -5 : 10,
    }))
    const thin = thinned(many)
    expect(thin.length).toBeLessThanOrEqual(MAX_POINTS)
    expect(thin).toContainEqual({ x: 7001, y: 99 })
    expect(thin).toContainEqual({ x: 9003, y: -5 })
    expect(thin.every((p, i) => p.x > (thin[i - 1]?.x ?? -1))).toBe(true)
  })

  it('draws readings that do not count apart, leaves out those without a number and those before the origin', () => {
    const curves = { ...fakeCurves(NOW, standing(NOW)), origin: iso(NOW) }
    const at = (s: number) => (NOW + s * 1000) * 1000
    const data = chartData(
      curves,
      [
        { time_us: at(-60), mg_l: 1, counts: true },
        { time_us: at(60), mg_l: 2, counts: true },
        { time_us: at(120), mg_l: 3, counts: false },
        { time_us: at(180), mg_l: null, counts: true },
      ],
      5,
    )
    expect(data.readings).toEqual([{ x: 1, y: 2 }])
    expect(data.set_aside).toEqual([{ x: 2, y: 3 }])
  })

  it('draws typed values apart, and a wild value that was set aside at the edge it lies beyond', () => {
    const curves = { ...fakeCurves(NOW, { ...standing(NOW), metered: false }), origin: iso(NOW) }
    const data = chartData(curves, [{ time_us: NOW * 1000, mg_l: 400, counts: false }], 5)
    expect(data.by_hand.map((p) => p.x)).toEqual([7, 9.5, 11])
    expect(data.limits.y[1]).toBeLessThan(40)
    expect(data.set_aside).toEqual([{ x: 0, y: data.limits.y[1] }])
  })

  it('ends where the last thing drawn ends', () => {
    const curves = fakeCurves(NOW, standing(NOW))
    expect(chartData(curves, [], 5).limits.x).toEqual([0, 40])
    const bare = { ...curves, forecast: [], expectation_band: [], fit: [] }
    expect(chartData(bare, [], 5).limits.x).toEqual([0, 5])
  })

  it('draws no target line where no value was set', () => {
    const curves = { ...fakeCurves(NOW, standing(NOW)), target_mg_l: null }
    expect(chartData(curves, [], 5).target).toEqual([])
  })
})

describe('bands', () => {
  it('break where the line breaks, so that nothing is drawn between two fits', () => {
    const curves = {
      ...fakeCurves(NOW, standing(NOW)),
      fit: [
        [0, 1],
        [1, 2],
        [5, null],
        [5, 9],
        [6, 8],
      ] as [number, number | null][],
      fit_band: [
        [0, 0, 2],
        [1, 1, 3],
        [5, 8, 10],
        [6, 7, 9],
      ] as [number, number, number][],
    }
    const { low, high } = chartData(curves, [], 6).fit_band
    expect(low.map((p) => p.y)).toEqual([0, 1, null, 8, 7])
    expect(high.map((p) => p.y)).toEqual([2, 3, null, 10, 9])
  })
})

describe('the origin of the chart', () => {
  it('stands still between batches although the server counts from the present', () => {
    const idle = { ...fakeCurves(NOW, standing(NOW)), batch: null, origin: iso(NOW + 77_000) }
    expect(fixedOrigin(idle, NOW).origin).toBe('2026-03-04T12:45:00.000Z')
  })

  it('moves on every two hours of a page that stays open between batches', () => {
    const after = (hours: number) => (begunAnew(NOW, NOW + hours * 3_600_000) - NOW) / 3_600_000
    expect([-1, 0, 1.99, 2, 25].map(after)).toEqual([0, 0, 0, 2, 24])
  })

  it('is the one of the batch while there is one', () => {
    const curves = fakeCurves(NOW, standing(NOW))
    expect(fixedOrigin(curves, NOW + 99_000)).toBe(curves)
  })
})

describe('ticks of the time axis', () => {
  it('fall on round times of the wall clock of the site', () => {
    // 13:03 UTC is 14:03 in Zurich: the first 5 min mark is 14:05, two minutes on.
    const ticks = timeTicks(Date.parse('2026-03-04T13:03:00Z'), 60, 0, 20, 6)
    expect(ticks).toEqual([2, 7, 12, 17])
  })

  it('respect a zone that is a quarter of an hour off', () => {
    // 13:00 UTC is 18:45 in Kathmandu: the first half hour is 19:00, a quarter on.
    expect(timeTicks(Date.parse('2026-03-04T13:00:00Z'), 345, 0, 60, 2)).toEqual([15, 45])
  })

  it('are none for a span without length', () => {
    expect(timeTicks(0, 0, 5, 5, 6)).toEqual([])
  })
})
