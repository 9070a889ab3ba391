import { createRequire } from 'node:module'
import { buffer } from 'node:stream/consumers'
import PDFDocument from 'pdfkit'

export type Doc = InstanceType<typeof PDFDocument>

/** Points: 1/72 inch. */
export const PAPER = { a4: 'A4', letter: 'LETTER' } as const
export type Paper = keyof typeof PAPER

export const MARGIN = 42
const HEAD_SPACE = 26
const FOOT_SPACE = 24

const { resolve } = createRequire(import.meta.url)
/** Names are written in every script; the fonts every PDF reader has know Western Europe only. */
const FONTS = {
  plain: 'dejavu-fonts-ttf/ttf/DejaVuSans.ttf',
  bold: 'dejavu-fonts-ttf/ttf/DejaVuSans-Bold.ttf',
  mono: 'dejavu-fonts-ttf/ttf/DejaVuSansMono.ttf',
} as const

export interface Frame {
  readonly title: string
  readonly head: string
  readonly foot: string
  readonly simulated: boolean
}

/** A document with the same head and foot on every page, as bytes once `write` has written it. */
export const printed = async (paper: Paper, frame: Frame, write: (doc: Doc) => void): Promise<Buffer> => {
  const doc = new PDFDocument({
    size: PAPER[paper],
    margins: { top: MARGIN + HEAD_SPACE, bottom: MARGIN + FOOT_SPACE, left: MARGIN, right: MARGIN },
    bufferPages: true,
    lang: 'en',
    displayTitle: true,
    info: { Title: frame.title, Creator: 'Spargewatch' },
  })
  useFonts(doc)
  const bytes = buffer(doc)
  write(doc)
  const { start, count } = doc.bufferedPageRange()
  for (let page = start; page < start + count; page++) {
    doc.switchToPage(page)
    drawFrame(doc, frame, `page ${page + 1} of ${count}`)
  }
  doc.end()
  return bytes
}

export const useFonts = (doc: Doc): void => {
  for (const [name, path] of Object.entries(FONTS)) doc.registerFont(name, resolve(path))
  doc.font('plain').fontSize(9)
}

export const widthOf = (doc: Doc): number => doc.page.width - 2 * MARGIN

const drawFrame = (doc: Doc, frame: Frame, pages: string): void => {
  const { height } = doc.page
  const width = widthOf(doc)
  // text under the margin would begin a new page
  doc.page.margins.bottom = 0
  doc.page.margins.top = 0
  if (frame.simulated) drawWatermark(doc)
  doc.font('bold').fontSize(8).fillColor('black')
  doc.text(frame.head, MARGIN, MARGIN - 6, { width, lineBreak: false })
  if (frame.simulated)
    doc.text('SIMULATED: numbers are not from a meter', MARGIN, MARGIN + 5, { width, lineBreak: false })
  doc.font('plain').fontSize(7)
  doc.text(pages, MARGIN, MARGIN - 6, { width, align: 'right', lineBreak: false })
  doc.text(frame.foot, MARGIN, height - MARGIN - 4, { width, lineBreak: true })
}

const drawWatermark = (doc: Doc): void => {
  const { width, height } = doc.page
  doc.font('bold').fontSize(84)
  const text = 'SIMULATED'
  doc.save()
  doc.rotate(-55, { origin: [width / 2, height / 2] })
  doc.fillColor('#000').fillOpacity(0.05)
  doc.text(text, (width - doc.widthOfString(text)) / 2, height / 2 - 50, { lineBreak: false })
  doc.restore()
  doc.fillOpacity(1)
}
