import type { Plugin } from 'chart.js'
import type { Curves } from '../../server/wire.ts'
import type { ChartLook } from './chart-look.ts'

/** Events as thin upright lines with their word, and the words beside the target line. */
export const marksPlugin = (
  look: ChartLook,
  marks: () => Curves['marks'],
  target: () => { readonly y: number; readonly text: string } | null,
): Plugin<'line'> => ({
  id: 'marks',
  afterDatasetsDraw: (chart) => {
    const { ctx, chartArea, scales } = chart
    const x = scales['x']
    const y = scales['y']
    if (x === undefined || y === undefined) return
    ctx.save()
    ctx.font = `600 13px ${look.font}`
    ctx.strokeStyle = look.soft
    for (const [i, mark] of marks().entries()) {
      const at = x.getPixelForValue(mark.at_min)
      if (at < chartArea.left || at > chartArea.right) continue
      ctx.beginPath()
      ctx.moveTo(at, chartArea.top)
      ctx.lineTo(at, chartArea.bottom)
      ctx.stroke()
      ctx.save()
      // Neighbours take turns at foot and head, so that ozone off and flow off can both be read.
      ctx.textAlign = i % 2 === 0 ? 'left' : 'right'
      ctx.translate(at + 4, i % 2 === 0 ? chartArea.bottom - 6 : chartArea.top + 6)
      ctx.rotate(-Math.PI / 2)
      word(ctx, look, mark.text, 0, 12)
      ctx.restore()
    }
    const line = target()
    if (line !== null) word(ctx, look, line.text, chartArea.left + 6, y.getPixelForValue(line.y) - 7)
    ctx.restore()
  },
})

/** Text with a rim of the paper's colour, readable over points. */
const word = (ctx: CanvasRenderingContext2D, look: ChartLook, text: string, x: number, y: number): void => {
  ctx.lineWidth = 4
  ctx.lineJoin = 'round'
  ctx.strokeStyle = look.sheet
  ctx.strokeText(text, x, y)
  ctx.lineWidth = 1
  ctx.strokeStyle = look.soft
  ctx.fillStyle = look.ink
  ctx.fillText(text, x, y)
}
