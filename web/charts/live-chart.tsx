import { Chart, Filler, LinearScale, LineController, LineElement, PointElement } from 'chart.js'
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import type { Curves } from '../../server/wire.ts'
import { concentration, type Unit } from '../../server/wording/format.ts'
import { offsetMinutes, type SiteClock } from '../../server/wording/site-clock.ts'
import type { Reading } from '../readings-held.ts'
import { type ChartData, chartData } from './chart-data.ts'
import { chartLook } from './chart-look.ts'
import { datasets } from './datasets.ts'
import { Legend } from './legend.tsx'
import { yTicks } from './limits.ts'
import { marksPlugin } from './marks.ts'
import type { XY } from './point.ts'
import { timeTicks } from './time-axis.ts'

Chart.register(LineController, LineElement, PointElement, LinearScale, Filler)

interface ChartProps {
  readonly curves: Curves
  readonly readings: readonly Reading[]
  readonly up_to_ms: number
  readonly clock: SiteClock
  readonly unit: Unit
  readonly calibrated: boolean
  readonly metered: boolean
  /** The probe's response time taken out of the fit; null when not known, undefined when it may differ along the way. */
  readonly lag_s: number | null | undefined
  /** The same facts in a sentence, for those who do not see the picture. */
  readonly summary: string
}

export const LiveChart = (props: ChartProps) => {
  const canvas = useRef<HTMLCanvasElement>(null)
  const chart = useRef<Chart<'line', XY[]> | null>(null)
  const latest = useRef(props)
  latest.current = props
  const look = useLookVersion()

  useEffect(() => {
    if (canvas.current === null) return
    const built = build(canvas.current, () => latest.current)
    chart.current = built
    const stopFitting = fitToPrint(built)
    return () => {
      stopFitting()
      built.destroy()
    }
  }, [look])

  const { curves, readings, up_to_ms, unit } = props
  const data = useMemo(
    () => chartData(curves, readings, Math.max(1, (up_to_ms - Date.parse(curves.origin)) / 60_000)),
    [curves, readings, up_to_ms],
  )
  useEffect(() => {
    if (chart.current !== null) redraw(chart.current, data)
  }, [data, unit, look])

  return (
    <figure class="chart">
      <div class="chart-box">
        <canvas ref={canvas} role="img" aria-label={props.summary} />
      </div>
      <Legend {...props} set_aside={data.set_aside.length > 0} />
    </figure>
  )
}

const redraw = (chart: Chart<'line', XY[]>, data: ChartData): void => {
  const next = datasets(data, chartLook(chart.canvas))
  const { x, y } = chart.options.scales ?? {}
  if (x !== undefined) [x.min, x.max] = data.limits.x
  if (y !== undefined) {
    ;[y.min, y.max] = data.limits.y
    y.afterBuildTicks = (axis) => {
      axis.ticks = yTicks(data.limits).map((value) => ({ value }))
    }
  }
  if (chart.data.datasets.length === 0) chart.data.datasets = next
  else
    next.forEach((set, i) => {
      const held = chart.data.datasets[i]
      if (held !== undefined) held.data = set.data
    })
  chart.update('none')
}

const build = (canvas: HTMLCanvasElement, props: () => ChartProps) => {
  const look = chartLook(canvas)
  const font = { family: look.font, size: 14 }
  const grid = { color: look.rule }
  return new Chart<'line', XY[]>(canvas, {
    type: 'line',
    data: { datasets: [] },
    plugins: [
      marksPlugin(
        look,
        () => props().curves.marks,
        () => targetWords(props()),
      ),
    ],
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      parsing: false,
      events: [],
      scales: {
        x: {
          type: 'linear',
          grid,
          border: { color: look.soft },
          title: { display: true, text: `site time, ${props().clock.zone}`, color: look.ink, font },
          ticks: {
            color: look.ink,
            font,
            maxRotation: 0,
            callback: (value) =>
              props().clock.time(Date.parse(props().curves.origin) + Number(value) * 60_000),
          },
          afterBuildTicks: (axis) => {
            const origin = Date.parse(props().curves.origin)
            const offset = offsetMinutes(props().clock.zone, origin)
            const most = Math.max(2, Math.floor(axis.width / 90))
            axis.ticks = timeTicks(origin, offset, axis.min, axis.max, most).map((value) => ({ value }))
          },
        },
        y: {
          type: 'linear',
          grid,
          border: { color: look.soft },
          title: { display: true, text: `dissolved ozone, ${props().unit}`, color: look.ink, font },
          ticks: { color: look.ink, font },
        },
      },
    },
  })
}

const targetWords = ({ curves: { target_mg_l } }: ChartProps) =>
  target_mg_l === null ? null : { y: target_mg_l, text: concentration(target_mg_l) }

/** Width and height of the drawing on a printed sheet, px: what A4 and Letter both hold between their margins. */
const PRINTED = [600, 330] as const

const fitToPrint = (chart: Chart<'line', XY[]>): (() => void) => {
  const before = () => chart.resize(...PRINTED)
  const after = () => chart.resize()
  addEventListener('beforeprint', before)
  addEventListener('afterprint', after)
  return () => {
    removeEventListener('beforeprint', before)
    removeEventListener('afterprint', after)
  }
}

/** Another number whenever the person's colour choice changes, so that the chart is drawn anew. */
const useLookVersion = (): number => {
  const [version, setVersion] = useState(0)
  useEffect(() => {
    const queries = ['(prefers-color-scheme: dark)', '(forced-colors: active)', 'print'].map((q) =>
      matchMedia(q),
    )
    const changed = () => setVersion((n) => n + 1)
    for (const query of queries) query.addEventListener('change', changed)
    return () => {
      for (const query of queries) query.removeEventListener('change', changed)
    }
  }, [])
  return version
}
