import { type Doc, MARGIN, widthOf } from './paper.ts'

/** The few shapes a record is written in; each goes on where the one before ended. */

const GAP = 6
/** Room a heading wants under it: never alone at the foot of a page. */
const HEADING_NEEDS = 48

export const heading = (doc: Doc, text: string): void => {
  makeRoom(doc, HEADING_NEEDS)
  doc.moveDown(0.6)
  doc
    .font('bold')
    .fontSize(11)
    .fillColor('black')
    .text(text, MARGIN, doc.y, { width: widthOf(doc) })
  doc.moveDown(0.2)
}

export const paragraph = (doc: Doc, text: string, size = 8.5): void => {
  doc
    .font('plain')
    .fontSize(size)
    .fillColor('black')
    .text(text, MARGIN, doc.y, { width: widthOf(doc) })
  doc.moveDown(0.3)
}

export type FactPair = readonly [name: string, value: string]

/** Name and value, two pairs beside each other. */
export const facts = (doc: Doc, pairs: readonly FactPair[]): void => {
  const column = (widthOf(doc) - 2 * GAP) / 2
  for (let i = 0; i < pairs.length; i += 2) {
    const row = pairs.slice(i, i + 2)
    const height = Math.max(...row.map((pair) => factHeight(doc, pair, column)))
    makeRoom(doc, height)
    const top = doc.y
    for (const [j, pair] of row.entries()) drawFact(doc, pair, MARGIN + j * (column + 2 * GAP), top, column)
    doc.y = top + height
  }
  doc.moveDown(0.2)
}

const NAME_PART = 0.4

const factHeight = (doc: Doc, [name, value]: FactPair, width: number): number => {
  doc.font('plain').fontSize(8.5)
  const names = doc.heightOfString(name, { width: NAME_PART * width - GAP })
  doc.font('bold')
  return Math.max(names, doc.heightOfString(value, { width: (1 - NAME_PART) * width })) + 2
}

const drawFact = (doc: Doc, [name, value]: FactPair, x: number, y: number, width: number): void => {
  doc
    .font('plain')
    .fontSize(8.5)
    .fillColor('#333')
    .text(name, x, y, { width: NAME_PART * width - GAP })
  doc.font('bold').fillColor('black')
  doc.text(value, x + NAME_PART * width, y, { width: (1 - NAME_PART) * width })
}

/** Lines with a moment in front: when, then what, broken as wide as the page. */
export const timeline = (doc: Doc, lines: readonly (readonly [when: string, what: string])[]): void => {
  const left = 104
  const width = widthOf(doc) - left
  for (const [when, what] of lines) {
    doc.font('plain').fontSize(8)
    makeRoom(doc, doc.heightOfString(what, { width }) + 2)
    const top = doc.y
    doc.fillColor('#333').text(when, MARGIN, top, { width: left - GAP })
    const below = doc.y
    doc.fillColor('black').text(what, MARGIN + left, top, { width })
    doc.y = Math.max(doc.y, below) + 1.5
  }
}

export const makeRoom = (doc: Doc, height: number): void => {
  if (doc.y + height > doc.page.height - doc.page.margins.bottom) doc.addPage()
}
