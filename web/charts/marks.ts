import type { Chart, Plugin } from 'chart.js'
import type { Curves } from '../../server/wire.ts'
import type { ChartLook } from './chart-look.ts'
import { type MarkPlace, markRows } from './mark-rows.ts'

interface TargetWord {
  readonly y: number
  readonly text: string
}

const ROW_PX = 17
/** Room at the right for the target's number; more when the word of a late event needs it. */
const LEAST_RIGHT_PX = 40
const MOST_RIGHT_PX = 110
/** What the y axis and its title take. Only for the estimate before the layout is known. */
const AXIS_PX = 50

/** Events as thin upright lines, their words in rows over the drawing; the target's number right of its line. */
export const marksPlugin = (
  look: ChartLook,
  marks: () => Curves['marks'],
  target: () => TargetWord | null,
): Plugin<'line'> => {
  const font = `600 13px ${look.font}`
  const placed = (chart: Chart, x: (minutes: number) => number): readonly MarkPlace[] => {
    chart.ctx.font = font
    return marks().map((mark) => ({ x: x(mark.at_min), width: chart.ctx.measureText(mark.text).width + 5 }))
  }
  return {
    id: 'marks',
    beforeLayout: (chart) => {
      const [from, to] = [Number(chart.options.scales?.['x']?.min), Number(chart.options.scales?.['x']?.max)]
      const room = chart.width - AXIS_PX - LEAST_RIGHT_PX
      const places = placed(chart, (minutes) => AXIS_PX + ((minutes - from) / (to - from)) * room)
      const beyond = Math.max(0, ...places.map(({ x, width }) => x + width - AXIS_PX - room))
      const rows = places.length === 0 ? 0 : Math.max(...markRows(places)) + 1
      chart.options.layout = {
        padding: {
          top: 6 + rows * ROW_PX,
          right: Math.min(MOST_RIGHT_PX, Math.max(LEAST_RIGHT_PX, beyond)),
        },
      }
    },
    afterDatasetsDraw: (chart) => {
      const { ctx, chartArea, scales } = chart
      const x = scales['x']
      const y = scales['y']
      if (x === undefined || y === undefined) return
      ctx.save()
      const places = placed(chart, (minutes) => x.getPixelForValue(minutes))
      const rows = markRows(places)
      for (const [i, mark] of marks().entries()) {
        const at = places[i]?.x ?? 0
        if (at < chartArea.left - 1 || at > chartArea.right + 1) continue
        const base = chartArea.top - 6 - (rows[i] ?? 0) * ROW_PX
        ctx.strokeStyle = look.soft
        ctx.beginPath()
        ctx.moveTo(at, base - 10)
        ctx.lineTo(at, chartArea.bottom)
        ctx.stroke()
        ctx.fillStyle = look.ink
        ctx.fillText(mark.text, at + 4, base)
      }
      const line = target()
      if (line !== null) {
        ctx.fillStyle = look.ink
        ctx.fillText(line.text, chartArea.right + 5, y.getPixelForValue(line.y) + 5)
      }
      ctx.restore()
    },
  }
}
