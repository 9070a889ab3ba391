import type { ChartDataset } from 'chart.js'
import type { Band, ChartData } from './chart-data.ts'
import { type ChartLook, hatch } from './chart-look.ts'
import type { XY } from './point.ts'

type Line = ChartDataset<'line', XY[]>

/**
 * Measured is points, typed in large diamonds, fitted a thick line, forecast a dashed line over hatching, expectation a dotted outline,
 * the target a long-dashed line: six kinds of mark, told apart without colour. A smaller order lies on top.
 */
export const datasets = (data: ChartData, look: ChartLook): Line[] => [
  ...band(data.expectation_band, { order: 9, fill: look.expectation, edge: look.soft, dash: [1, 4] }),
  ...band(data.fit_band, { order: 7, fill: look.fitBand, edge: 'transparent', dash: [] }),
  ...band(data.forecast_band, { order: 7, fill: hatch(look.forecast), edge: look.forecast, dash: [2, 3] }),
  { ...line(data.target, look.ink, 5), borderWidth: 2, borderDash: [18, 6] },
  points(data.readings, look.ink, 'circle', 2.2),
  points(data.set_aside, look.soft, 'crossRot', 4),
  {
    ...points(data.by_hand, look.ink, 'rectRot', 9),
    pointBorderColor: look.sheet,
    pointBorderWidth: 2,
    order: 1,
  },
  { ...line(data.fit, look.sheet, 3), borderWidth: 4 },
  { ...line(data.fit, look.fit, 2), borderWidth: 2 },
  { ...line(data.forecast, look.forecast, 2), borderWidth: 3, borderDash: [7, 6] },
]

const line = (data: readonly XY[], colour: string, order: number): Line => ({
  data: [...data],
  borderColor: colour,
  pointRadius: 0,
  order,
})

const points = (
  data: readonly XY[],
  colour: string,
  pointStyle: 'circle' | 'crossRot' | 'rectRot',
  radius: number,
): Line => ({
  data: [...data],
  showLine: false,
  clip: 6,
  pointStyle,
  pointRadius: radius,
  pointBorderColor: colour,
  pointBackgroundColor: colour,
  pointBorderWidth: pointStyle === 'circle' ? 0 : 1.5,
  order: 4,
})

interface BandLook {
  readonly order: number
  readonly fill: string | CanvasPattern
  readonly edge: string
  readonly dash: number[]
}

const band = ({ low, high }: Band, { order, fill, edge, dash }: BandLook): Line[] => {
  const edgeLine = { borderColor: edge, borderWidth: 1, borderDash: dash, pointRadius: 0, order }
  return [
    { ...edgeLine, data: [...low] },
    { ...edgeLine, data: [...high], fill: '-1', backgroundColor: fill },
  ]
}
