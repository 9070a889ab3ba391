import { buffer } from 'node:stream/consumers'
import PDFDocument from 'pdfkit'
import qrcode from 'qrcode-generator'
import type { BatchHead } from '../../wire.ts'
import { decimal, millilitres } from '../../wording/format.ts'
import type { SiteClock } from '../../wording/site-clock.ts'
import { FLUID } from '../../wording/words.ts'
import { type Doc, useFonts } from './paper.ts'

/** A small label for a syringe or its tray: 62 × 40 mm, for label printers and for cutting out. */
const MM = 72 / 25.4
const WIDTH = 62 * MM
const HEIGHT = 40 * MM
const EDGE = 2.5 * MM
const CODE = 19 * MM

export interface LabelParts {
  readonly head: BatchHead
  readonly draw: {
    readonly at: string
    readonly ml: number
    readonly reference: string | null
    readonly value: {
      readonly value_mg_l: number
      readonly low_mg_l: number | null
      readonly high_mg_l: number | null
      readonly basis: 'measured' | 'estimate'
      readonly calibrated: boolean
    } | null
  }
  /** Where the record can be looked up. */
  readonly address: string
  readonly clock: SiteClock
}

/** What was drawn, from which batch, and the value at that moment, which is not the value in the syringe now. */
export const printLabel = async (parts: LabelParts): Promise<Buffer> => {
  const doc = new PDFDocument({ size: [WIDTH, HEIGHT], margin: EDGE, info: { Title: labelTitle(parts) } })
  useFonts(doc)
  const bytes = buffer(doc)
  drawWords(doc, parts)
  drawCode(doc, parts.address)
  doc.end()
  return bytes
}

const labelTitle = ({ head }: LabelParts): string => `Label, batch ${head.number}`

const drawWords = (doc: Doc, { head, draw, clock }: LabelParts): void => {
  const width = WIDTH - CODE - 3 * EDGE
  const line = (text: string, font: 'plain' | 'bold', size: number, wide = width) =>
    doc.font(font).fontSize(size).text(text, EDGE, doc.y, { width: wide, lineGap: 0.5 })
  doc.y = EDGE
  if (head.simulated) line('SIMULATED', 'bold', 8)
  line(`${clock.day(draw.at)} ${clock.time(draw.at)}`, 'bold', 9)
  line(
    `${millilitres(draw.ml)} of ${FLUID[head.fluid]}${head.lot === null ? '' : `, lot ${head.lot}`}`,
    'plain',
    7,
  )
  line(`Batch ${head.number}`, 'plain', 7)
  if (draw.reference !== null) line(`Reference ${draw.reference}`, 'plain', 7)
  doc.y = Math.max(doc.y + 2, EDGE + CODE + 3)
  line(valueWords(draw.value), 'bold', 8, WIDTH - 2 * EDGE)
  line(`at draw, ${clock.time(draw.at)}. It falls from then on.`, 'plain', 6.5, WIDTH - 2 * EDGE)
}

const valueWords = (value: LabelParts['draw']['value']): string => {
  if (value === null) return 'Dissolved ozone not known'
  const { low_mg_l: low, high_mg_l: high } = value
  const band = low === null || high === null ? '' : ` (${decimal(low, 1)} to ${decimal(high, 1)})`
  const basis = value.basis === 'measured' ? '' : ', estimate'
  return `${decimal(value.value_mg_l, 1)} µg/mL${band}${basis}${value.calibrated ? '' : ', uncalibrated'}`
}

/** Modules as squares, so that it stays sharp at any size. Error correction M: a wet thumb may smear some. */
const drawCode = (doc: Doc, address: string): void => {
  const code = qrcode(0, 'M')
  code.addData(address)
  code.make()
  const count = code.getModuleCount()
  const size = CODE / count
  for (let row = 0; row < count; row++)
    for (let column = 0; column < count; column++)
      if (code.isDark(row, column))
        doc.rect(WIDTH - EDGE - CODE + column * size, EDGE + row * size, size, size)
  doc.fill('black')
}
