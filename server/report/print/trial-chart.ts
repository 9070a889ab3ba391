import type { TrialResult, TrialView } from '../../wire.ts'
import type { TrialMeasureShown } from '../../wording/trial-words.ts'
import { makeRoom } from './blocks.ts'
import { niceStep } from './chart.ts'
import { type Doc, MARGIN, widthOf } from './paper.ts'

/** Plots of a trial as vectors: each batch with its interval beside the group's, control charts, curves laid over each other. */

const LEFT = 34
const FOOT = 26
const HEIGHT = 120

export interface Axes {
  readonly from: number
  readonly to: number
  readonly least: number
  readonly most: number
  readonly across: string
  readonly up: string
}

export type Place = (x: number, y: number) => readonly [number, number]

export const INK = '#111'
export const GREY = '#777'
export const PALE = '#ccc'

/** A framed plot; `draw` gets where a value lies. Goes on below it. */
export const plot = (doc: Doc, axes: Axes, ticksAcross: boolean, draw: (place: Place) => void): void => {
  makeRoom(doc, HEIGHT + FOOT + 16)
  const top = doc.y + 12
  const width = widthOf(doc) - LEFT
  const place: Place = (x, y) => [
    MARGIN + LEFT + (width * (x - axes.from)) / (axes.to - axes.from),
    top + HEIGHT * (1 - (y - axes.least) / (axes.most - axes.least)),
  ]
  doc.font('plain').fontSize(7).fillColor(INK).lineWidth(0.5)
  doc.rect(MARGIN + LEFT, top, width, HEIGHT).stroke(GREY)
  const step = niceStep(axes.most - axes.least)
  for (let y = Math.ceil(axes.least / step) * step; y <= axes.most + 1e-9; y += step)
    doc.text(plain(y), MARGIN, place(axes.from, y)[1] - 4, {
      width: LEFT - 5,
      align: 'right',
      lineBreak: false,
    })
  if (ticksAcross) {
    const across = niceStep(axes.to - axes.from)
    for (let x = Math.ceil(axes.from / across) * across; x <= axes.to + 1e-9; x += across)
      doc.text(plain(x), place(x, axes.least)[0] - 15, top + HEIGHT + 3, {
        width: 30,
        align: 'center',
        lineBreak: false,
      })
  }
  doc.text(axes.up, MARGIN + LEFT, top - 10, { lineBreak: false })
  doc.text(axes.across, MARGIN + LEFT, top + HEIGHT + 13, { width, align: 'center', lineBreak: false })
  doc.save()
  doc.rect(MARGIN + LEFT, top, width, HEIGHT).clip()
  draw(place)
  doc.restore()
  doc.x = MARGIN
  doc.y = top + HEIGHT + FOOT
}

export const plain = (value: number): string => String(Number(value.toFixed(3)))

const around = (values: readonly number[]): { least: number; most: number } => {
  const [low, high] = [Math.min(...values), Math.max(...values)]
  const room = 0.1 * (high - low || Math.abs(high) || 1)
  return { least: low - room, most: high + room }
}

export const line = (
  doc: Doc,
  a: readonly [number, number],
  b: readonly [number, number],
  color: string,
): void => {
  doc
    .moveTo(...a)
    .lineTo(...b)
    .stroke(color)
}

/** Full circles count, empty ones do not; the band is the group's 95 % interval, the dashed line the tolerance bound. */
export const drawPoints = (doc: Doc, { name, unit, points, spread, bound }: TrialMeasureShown): void => {
  if (points.length === 0) return
  const edges = points.flatMap(({ point }) => [point.low, point.high ?? point.value])
  const group = spread ? [spread.low, spread.high] : []
  const limit = bound?.with_calibration ?? bound?.value
  const axes = {
    ...around([...edges, ...group, ...(limit === undefined ? [] : [limit])]),
    ...{
      from: 0,
      to: points.length + 1,
      up: `${name}, ${unit}`,
      across: 'batches in the order they came in',
    },
  }
  plot(doc, axes, false, (place) => {
    if (spread) {
      const [x, y] = place(0, spread.high)
      const [x2, y2] = place(points.length + 1, spread.low)
      doc.rect(x, y, x2 - x, y2 - y).fill(PALE)
    }
    if (limit !== undefined) {
      doc.save().dash(4, { space: 3 })
      line(doc, place(0, limit), place(points.length + 1, limit), INK)
      doc.restore()
    }
    for (const [i, { batch, point }] of points.entries()) {
      line(doc, place(i + 1, point.low), place(i + 1, point.high ?? axes.most), INK)
      const dot = doc.circle(...place(i + 1, point.value), 2.2)
      if (batch.pooled) dot.fill(INK)
      else dot.fillAndStroke('white', INK)
    }
  })
}

export const drawControl = (doc: Doc, chart: TrialResult['charts'][number]): void => {
  const { points, centre, low, high, name, unit } = chart
  const axes = {
    ...around([...points.map((p) => p.value), low, high]),
    ...{
      from: 0,
      to: points.length + 1,
      up: `${name}, ${unit}`,
      across: 'batches in the order of their opening',
    },
  }
  plot(doc, axes, false, (place) => {
    line(doc, place(0, centre), place(points.length + 1, centre), GREY)
    doc.save().dash(4, { space: 3 })
    for (const limit of [low, high]) line(doc, place(0, limit), place(points.length + 1, limit), INK)
    doc.restore()
    curve(
      doc,
      points.map((p, i) => place(i + 1, p.value)),
      GREY,
    )
    for (const [i, p] of points.entries())
      doc.circle(...place(i + 1, p.value), chart.outside.includes(p.number) ? 4 : 2.2).fill(INK)
  })
}

/** A typical batch (full) and the tolerance bound (empty, dashed) over volume. */
export const drawVolumes = (doc: Doc, points: TrialView['over_volume']): void => {
  const values = points.flatMap((p) => [p.typical_min, p.bound_min])
  const axes = {
    ...{
      from: 0,
      to: 1.1 * Math.max(...points.map((p) => p.volume_ml)),
      least: 0,
      most: 1.1 * Math.max(...values),
    },
    ...{ up: 'minutes', across: 'volume, mL' },
  }
  plot(doc, axes, true, (place) => {
    const along = (of: 'typical_min' | 'bound_min') => points.map((p) => place(p.volume_ml, p[of]))
    curve(doc, along('typical_min'), INK)
    doc.save().dash(4, { space: 3 })
    curve(doc, along('bound_min'), INK)
    doc.restore()
    for (const [x, y] of along('typical_min')) doc.circle(x, y, 2.2).fill(INK)
    for (const [x, y] of along('bound_min')) doc.circle(x, y, 2.2).fillAndStroke('white', INK)
  })
}

export const curve = (doc: Doc, points: readonly (readonly [number, number])[], color: string): void => {
  for (const [i, [x, y]] of points.entries()) {
    if (i === 0) doc.moveTo(x, y)
    else doc.lineTo(x, y)
  }
  doc.stroke(color)
}
