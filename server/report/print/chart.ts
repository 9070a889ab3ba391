import type { Curves } from '../../wire.ts'
import { makeRoom } from './blocks.ts'
import { type Doc, MARGIN, widthOf } from './paper.ts'

/** One column of readings: minutes from the origin of the curves, least and greatest value. */
export type Column = readonly [minute: number, low: number, high: number]

export interface ChartParts {
  readonly curves: Curves
  readonly readings: readonly Column[]
}

const HEIGHT = 190
const LEFT = 30
const FOOT = 24

type Place = (minute: number, value: number) => readonly [number, number]

/** Measured, fitted and expected in shapes that differ in grey: strokes, a line in a band, a hatched band. As vectors. */
export const drawChart = (doc: Doc, { curves, readings }: ChartParts): void => {
  makeRoom(doc, HEIGHT + FOOT + 20)
  const top = doc.y + 4
  const width = widthOf(doc) - LEFT
  const range = rangeOf(curves, readings)
  const place: Place = (minute, value) => [
    MARGIN + LEFT + (width * (minute - range.from)) / (range.to - range.from),
    top + HEIGHT * (1 - value / range.most),
  ]
  drawAxes(doc, range, place, top, width)
  doc.save()
  doc.rect(MARGIN + LEFT, top, width, HEIGHT).clip()
  drawBand(doc, curves.expectation_band, place, '#bbbbbb', 0.35)
  drawBand(doc, curves.fit_band, place, '#222222', 0.2)
  drawReadings(doc, readings, place)
  drawLine(doc, curves.fit, place)
  drawTarget(doc, curves.target_mg_l, range, place)
  drawByHand(doc, curves.by_hand, place)
  drawMarks(doc, curves.marks, place, top)
  doc.restore()
  doc.y = top + HEIGHT + FOOT
  doc.font('plain').fontSize(7).fillColor('#333')
  doc.text(
    'Grey strokes: measured. Line in its band: fitted, 95 %. Light band: what the physics expects. Dashed: the value set. Circles: read or typed in one by one. Upright lines: entries.',
    MARGIN,
    doc.y,
    { width: widthOf(doc) },
  )
}

interface Range {
  readonly from: number
  readonly to: number
  readonly most: number
}

const rangeOf = (curves: Curves, readings: readonly Column[]): Range => {
  const minutes = [
    ...readings.map(([minute]) => minute),
    ...curves.fit.map(([minute]) => minute),
    ...curves.by_hand.map(([minute]) => minute),
  ]
  const values = [
    ...readings.map(([, , high]) => high),
    ...curves.fit_band.map(([, , high]) => high),
    ...curves.by_hand.map(([, value]) => value),
    curves.target_mg_l ?? 0,
  ]
  const from = Math.min(0, ...finite(minutes))
  const to = Math.max(from + 1, ...finite(minutes))
  return { from, to, most: niceAbove(Math.max(1, ...finite(values))) }
}

const finite = (numbers: readonly (number | null)[]): number[] =>
  numbers.filter((number): number is number => number !== null && Number.isFinite(number))

const niceAbove = (value: number): number => {
  const step = niceStep(value)
  return Math.ceil((1.05 * value) / step) * step
}

/** 1, 2 or 5 times a power of ten, about a fifth of the range. */
export const niceStep = (range: number): number => {
  const rough = range / 5
  const power = 10 ** Math.floor(Math.log10(rough))
  return ([1, 2, 5, 10].find((m) => m * power >= rough) ?? 10) * power
}

const drawAxes = (doc: Doc, range: Range, place: Place, top: number, width: number): void => {
  doc.font('plain').fontSize(7).fillColor('black').lineWidth(0.5)
  doc.rect(MARGIN + LEFT, top, width, HEIGHT).stroke('#555')
  const stepY = niceStep(range.most)
  for (let value = 0; value <= range.most + 1e-9; value += stepY) {
    const [, y] = place(range.from, value)
    doc
      .moveTo(MARGIN + LEFT - 3, y)
      .lineTo(MARGIN + LEFT, y)
      .stroke('#555')
    doc.text(trim(value), MARGIN, y - 4, { width: LEFT - 6, align: 'right', lineBreak: false })
  }
  const stepX = niceStep(range.to - range.from)
  for (let minute = Math.ceil(range.from / stepX) * stepX; minute <= range.to; minute += stepX) {
    const [x] = place(minute, 0)
    doc
      .moveTo(x, top + HEIGHT)
      .lineTo(x, top + HEIGHT + 3)
      .stroke('#555')
    doc.text(trim(minute), x - 15, top + HEIGHT + 5, { width: 30, align: 'center', lineBreak: false })
  }
  doc.text('minutes since the first ozone-on', MARGIN + LEFT, top + HEIGHT + 14, {
    width,
    align: 'center',
    lineBreak: false,
  })
  doc.text('dissolved ozone, µg/mL', MARGIN + LEFT + 4, top + 3, { lineBreak: false })
}

const trim = (value: number): string => String(Number(value.toFixed(3)))

const drawBand = (
  doc: Doc,
  band: readonly (readonly [number, number, number])[],
  place: Place,
  color: string,
  opacity: number,
): void => {
  if (band.length < 2) return
  const upper = band.map(([minute, , high]) => place(minute, high))
  const lower = band.map(([minute, low]) => place(minute, low)).reverse()
  doc.save().fillOpacity(opacity)
  path(doc, [...upper, ...lower])
  doc.closePath().fill(color)
  doc.restore()
}

const drawLine = (doc: Doc, line: Curves['fit'], place: Place): void => {
  doc.lineWidth(1.2)
  let stretch: (readonly [number, number])[] = []
  const flush = () => {
    if (stretch.length > 1) {
      path(doc, stretch)
      doc.stroke('black')
    }
    stretch = []
  }
  for (const [minute, value] of line) {
    if (value === null) flush()
    else stretch.push(place(minute, value))
  }
  flush()
}

const path = (doc: Doc, points: readonly (readonly [number, number])[]): void => {
  for (const [i, [x, y]] of points.entries()) {
    if (i === 0) doc.moveTo(x, y)
    else doc.lineTo(x, y)
  }
}

const drawReadings = (doc: Doc, readings: readonly Column[], place: Place): void => {
  doc.lineWidth(0.7)
  for (const [minute, low, high] of readings) {
    const [x, bottom] = place(minute, low)
    const [, up] = place(minute, high)
    doc.moveTo(x, Math.max(bottom, up + 0.7)).lineTo(x, up)
  }
  doc.stroke('#777')
}

const drawTarget = (doc: Doc, target: number | null, range: Range, place: Place): void => {
  if (target === null) return
  doc.save().lineWidth(0.8).dash(4, { space: 3 })
  doc
    .moveTo(...place(range.from, target))
    .lineTo(...place(range.to, target))
    .stroke('black')
  doc.restore()
}

const drawByHand = (doc: Doc, points: Curves['by_hand'], place: Place): void => {
  for (const [minute, value] of points)
    if (value !== null)
      doc
        .circle(...place(minute, value), 2.5)
        .lineWidth(0.9)
        .stroke('black')
}

const drawMarks = (doc: Doc, marks: Curves['marks'], place: Place, top: number): void => {
  doc.font('plain').fontSize(6.5).fillColor('black').lineWidth(0.5)
  for (const [i, mark] of marks.entries()) {
    const [x] = place(mark.at_min, 0)
    doc
      .moveTo(x, top)
      .lineTo(x, top + HEIGHT)
      .stroke('#999')
    doc.text(mark.text, x + 2, top + 12 + 8 * (i % 4), { lineBreak: false })
  }
}
