import type { ComponentChildren } from 'preact'

export interface Scale {
  readonly x: (value: number) => number
  readonly y: (value: number) => number
}

interface PlotProps {
  readonly title: string
  readonly across: string
  readonly range: { readonly from: number; readonly to: number; readonly values: readonly number[] }
  /** Numbers along the foot. */
  readonly ticks?: boolean
  readonly draw: (scale: Scale) => ComponentChildren
}

const WIDTH = 480
const HEIGHT = 250
const LEFT = 52
const TOP = 10
const FOOT = 30

/** A small still plot with its axes; what it shows stands in words or a table beside it too. */
export const Plot = ({ title, across, range, ticks, draw }: PlotProps) => {
  const low = Math.min(...range.values)
  const high = Math.max(...range.values)
  const room = 0.08 * (high - low || Math.abs(high) || 1)
  const [least, most] = [low === 0 ? 0 : low - room, high + room]
  const scale: Scale = {
    x: (value) => LEFT + ((WIDTH - LEFT - 8) * (value - range.from)) / (range.to - range.from || 1),
    y: (value) => TOP + (HEIGHT - TOP - FOOT) * (1 - (value - least) / (most - least)),
  }
  return (
    <figure class="plot">
      <figcaption>{title}</figcaption>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={`${title}; ${across}`}>
        <rect class="plot-frame" x={LEFT} y={TOP} width={WIDTH - LEFT - 8} height={HEIGHT - TOP - FOOT} />
        {marks(least, most).map((value) => (
          <text key={value} class="plot-text" x={LEFT - 6} y={scale.y(value) + 5} text-anchor="end">
            {plain(value)}
          </text>
        ))}
        {ticks === true &&
          marks(range.from, range.to).map((value) => (
            <text key={value} class="plot-text" x={scale.x(value)} y={HEIGHT - 10} text-anchor="middle">
              {plain(value)}
            </text>
          ))}
        {draw(scale)}
      </svg>
      <p class="hint">{across}</p>
    </figure>
  )
}

/** Round values between two ends, four to eight of them. */
const marks = (from: number, to: number): number[] => {
  const rough = (to - from) / 5
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = ([1, 2, 5, 10].find((m) => m * power >= rough) ?? 10) * power
  const first = Math.ceil(from / step - 1e-9)
  return Array.from({ length: Math.floor(to / step + 1e-9) - first + 1 }, (_, i) => (first + i) * step)
}

const plain = (value: number): string => String(Number(value.toFixed(3)))
