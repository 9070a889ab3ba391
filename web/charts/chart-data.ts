import type { Curves } from '../../server/wire.ts'
import type { Reading } from '../readings-held.ts'
import { type Limits, yLimits } from './limits.ts'
import type { XY } from './point.ts'

export interface Band {
  readonly low: readonly XY[]
  readonly high: readonly XY[]
}

export interface ChartData {
  readonly readings: readonly XY[]
  readonly set_aside: readonly XY[]
  readonly fit: readonly XY[]
  readonly fit_band: Band
  readonly forecast: readonly XY[]
  readonly forecast_band: Band
  readonly expectation_band: Band
  readonly target: readonly XY[]
  readonly by_hand: readonly XY[]
  readonly limits: Limits
}

/** More points than this are not told apart on any screen; the extremes of each column are kept. */
export const MAX_POINTS = 1500

export const chartData = (curves: Curves, readings: readonly Reading[], upTo_min: number): ChartData => {
  const origin_us = Date.parse(curves.origin) * 1000
  const at = (r: Reading): XY => ({ x: (r.time_us - origin_us) / 60e6, y: r.mg_l })
  const here = readings.filter((r) => r.time_us >= origin_us)
  const { forecast, expectation_band, fit, by_hand } = curves
  const ends = [forecast, expectation_band, fit, by_hand].flatMap((c) => c.at(-1)?.[0] ?? [])
  const end = Math.max(upTo_min, ...ends, 1)
  const drawn = {
    readings: thinned(here.filter((r) => r.counts && r.mg_l !== null).map(at)),
    fit: line(curves.fit),
    fit_band: bandOf(curves.fit_band, curves.fit),
    forecast: line(curves.forecast),
    forecast_band: bandOf(curves.forecast_band),
    expectation_band: bandOf(curves.expectation_band),
    target: curves.target_mg_l === null ? [] : [0, end].map((x) => ({ x, y: curves.target_mg_l })),
    by_hand: line(curves.by_hand),
  }
  const limits: Limits = { x: [Math.min(0, curves.by_hand[0]?.[0] ?? 0), end], ...yLimitsOf(drawn) }
  const aside = here.filter((r) => !r.counts && r.mg_l !== null).map(at)
  return { ...drawn, limits, set_aside: thinned(aside).map((p) => atEdge(p, limits)) }
}

const yLimitsOf = (drawn: Omit<ChartData, 'set_aside' | 'limits'>): Pick<Limits, 'y' | 'step'> =>
  yLimits(
    [...drawn.readings, ...drawn.by_hand],
    [
      drawn.fit,
      drawn.fit_band.high,
      drawn.forecast,
      drawn.forecast_band.high,
      drawn.expectation_band.high,
      drawn.target,
    ],
  )

/** A wild value that was set aside must not squeeze the others flat: it stands at the edge it lies beyond. */
const atEdge = ({ x, y }: XY, { y: [from, to] }: Limits): XY => ({
  x,
  y: y === null ? null : Math.min(to, Math.max(from, y)),
})

/** Least and greatest of each column, in time order, so that no peak or dip is lost. */
export const thinned = (points: readonly XY[], most = MAX_POINTS): readonly XY[] => {
  if (points.length <= most) return points
  const size = Math.ceil(points.length / (most / 2))
  const columns = Array.from({ length: Math.ceil(points.length / size) }, (_, i) =>
    points.slice(i * size, (i + 1) * size),
  )
  return columns.flatMap(extremes)
}

const extremes = (column: readonly XY[]): readonly XY[] => {
  const byValue = [...column].sort((a, b) => (a.y ?? 0) - (b.y ?? 0))
  const ends = [byValue[0], byValue.at(-1)].filter((p): p is XY => p !== undefined)
  return ends[0] === ends[1] ? ends.slice(0, 1) : ends.sort((a, b) => a.x - b.x)
}

const line = (points: Curves['fit']): readonly XY[] => points.map(([x, y]) => ({ x, y }))

/** A band breaks wherever its line does: a null in the line ends one fit, and nothing lies between two. */
const bandOf = (points: Curves['fit_band'], along: Curves['fit'] = []): Band => {
  const ends = along.filter(([, y]) => y === null).map(([x]) => x)
  const broken = points.flatMap(([x, low, high], i) => {
    const before = points[i - 1]?.[0] ?? Number.POSITIVE_INFINITY
    const edge = ends.some((end) => end > before && end <= x)
    return edge
      ? [
          { x, low: null, high: null },
          { x, low, high },
        ]
      : [{ x, low, high }]
  })
  return {
    low: broken.map(({ x, low }) => ({ x, y: low })),
    high: broken.map(({ x, high }) => ({ x, y: high })),
  }
}

const IDLE_MS = 15 * 60_000

/** A page between batches stays open for days. */
const ANEW_MS = 2 * 3_600_000

/** When its chart last began anew: when it was opened, and every two hours from then on. */
export const begunAnew = (opened_ms: number, now_ms: number): number =>
  opened_ms + Math.max(0, Math.floor((now_ms - opened_ms) / ANEW_MS)) * ANEW_MS

/**
 * Between batches there is nothing to count from, and the server's origin moves with the present: the chart
 * then begins a quarter of an hour before the page was opened, or began anew, and stays there.
 */
export const fixedOrigin = (curves: Curves, begun_ms: number): Curves =>
  curves.batch === null ? { ...curves, origin: new Date(begun_ms - IDLE_MS).toISOString() } : curves
