import type { TrialCurves } from '../../wire.ts'
import { makeRoom } from './blocks.ts'
import { type Doc, MARGIN, widthOf } from './paper.ts'
import { curve, GREY, INK, line, PALE, plain, plot } from './trial-chart.ts'

type Phase = 'rise' | 'decay'
type Curve = NonNullable<TrialCurves[number]['rise']>

const ACROSS = { rise: 'minutes since ozone-on', decay: 'minutes since flow-off' } as const
/** Of each group in turn, told apart in grey too. */
const DASHES: readonly (readonly [length: number, space: number] | null)[] = [
  null,
  [5, 3],
  [1.5, 2],
  [9, 3],
  [3, 1],
  [7, 1.5],
]

const curvesOf = (batches: TrialCurves, phase: Phase) =>
  batches.flatMap((batch) => {
    const own = batch[phase]
    return own && own.minutes.length > 1 ? [{ ...batch, curve: own }] : []
  })

/** Fitted curves of all batches over each other, each in its 95 % band, with the readings they rest on as faint points. */
export const drawCurves = (doc: Doc, batches: TrialCurves, phase: Phase): void => {
  const shown = curvesOf(batches, phase)
  if (shown.length === 0) return
  const groups = groupsOf(batches)
  const all = shown.map((s) => s.curve)
  const axes = {
    ...{ from: 0, to: Math.max(...all.map((c) => c.minutes.at(-1) ?? 0)) },
    ...{ least: 0, most: 1.05 * Math.max(...all.flatMap((c) => [...c.high, ...c.seen.map(([, v]) => v)])) },
    ...{ up: 'dissolved ozone, µg/mL', across: ACROSS[phase] },
  }
  plot(doc, axes, true, (place) => {
    for (const { curve: own } of shown) {
      band(doc, own, place)
      for (const [minute, value] of own.seen) doc.circle(...place(minute, value), 0.5).fill('#bbb')
    }
    for (const { curve: own, group, pooled } of shown) {
      doc.save().lineWidth(pooled ? 0.9 : 0.4)
      const dash = DASHES[groups.indexOf(group) % DASHES.length]
      if (dash) doc.dash(dash[0], { space: dash[1] })
      const points = own.minutes.map((minute, i) => place(minute, own.mean[i] ?? 0))
      curve(doc, points, pooled ? INK : '#999')
      doc.restore()
    }
  })
}

/** Names of the groups in the order they came in; one without a group stands for itself. */
const groupsOf = (batches: TrialCurves): (string | null)[] => [...new Set(batches.map((b) => b.group))]

export const lineWords = (batches: TrialCurves): string => {
  const words = ['full', 'dashed', 'dotted', 'long dashes', 'short dashes', 'close dashes']
  const names = groupsOf(batches).filter((g) => g !== null)
  return names.length < 2
    ? ''
    : ` Lines: ${names.map((name, i) => `${name} ${words[i] ?? 'full'}`).join(', ')}.`
}

const band = (
  doc: Doc,
  { minutes, low, high }: Curve,
  place: (x: number, y: number) => readonly [number, number],
) => {
  const points = [
    ...minutes.map((minute, i) => place(minute, high[i] ?? 0)),
    ...minutes.map((minute, i) => place(minute, low[i] ?? 0)).reverse(),
  ]
  for (const [i, [x, y]] of points.entries()) {
    if (i === 0) doc.moveTo(x, y)
    else doc.lineTo(x, y)
  }
  doc.fillOpacity(0.6).fill(PALE).fillOpacity(1)
}

const STRIP = 34
const LABEL = 62
const BETWEEN = 26

/** What each fit leaves of its readings, a strip a batch, all on one scale: a curve in it is a fit that does not follow. */
export const drawResiduals = (doc: Doc, batches: TrialCurves): void => {
  const own = batches.filter((b) => (b.rise?.seen.length ?? 0) + (b.decay?.seen.length ?? 0) > 0)
  const sizes = own.flatMap((b) =>
    [...(b.rise?.seen ?? []), ...(b.decay?.seen ?? [])].map(([, , r]) => Math.abs(r)),
  )
  const most = scaleOf(sizes)
  const width = (widthOf(doc) - LABEL - BETWEEN) / 2
  const ends = (['rise', 'decay'] as const).map((phase) =>
    Math.max(1e-9, ...own.map((b) => b[phase]?.minutes.at(-1) ?? 0)),
  )
  for (const batch of own) {
    makeRoom(doc, STRIP + 6)
    const top = doc.y + 3
    doc
      .font('plain')
      .fontSize(7)
      .fillColor(batch.pooled ? INK : GREY)
    doc.text(batch.number, MARGIN, top + STRIP / 2 - 8, { width: LABEL - 6, lineBreak: false })
    doc.text(`± ${plain(most)}`, MARGIN, top + STRIP / 2 + 1, { width: LABEL - 6, lineBreak: false })
    for (const [i, phase] of (['rise', 'decay'] as const).entries())
      strip(doc, batch[phase], {
        left: MARGIN + LABEL + i * (width + BETWEEN),
        top,
        width,
        to: ends[i] ?? 1,
        most,
      })
    doc.x = MARGIN
    doc.y = top + STRIP
  }
}

interface Box {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly to: number
  readonly most: number
}

const strip = (doc: Doc, own: Curve | null, { left, top, width, to, most }: Box): void => {
  doc.lineWidth(0.4).rect(left, top, width, STRIP).stroke(GREY)
  line(doc, [left, top + STRIP / 2], [left + width, top + STRIP / 2], GREY)
  doc.save()
  doc.rect(left, top, width, STRIP).clip()
  for (const [minute, , residual] of own?.seen ?? [])
    doc.circle(left + (width * minute) / to, top + STRIP * (0.5 - (0.48 * residual) / most), 0.7).fill(INK)
  doc.restore()
}

/** All but the largest hundredth of them fits in, rounded up to one digit. */
const scaleOf = (sizes: readonly number[]): number => {
  const sorted = [...sizes].sort((a, b) => a - b)
  const size = sorted[Math.floor(0.99 * (sorted.length - 1))] ?? 1
  const power = 10 ** Math.floor(Math.log10(size || 1))
  return Math.ceil((size || 1) / power) * power
}
