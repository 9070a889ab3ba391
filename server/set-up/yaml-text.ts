import { Document, isCollection, isScalar, type Node, visit } from 'yaml'

/** No folding, no block scalars: one value stays on one line. */
const OPTIONS = { lineWidth: 0, blockQuote: false, doubleQuotedMinMultiLineLength: 100_000 } as const

/** A value on one line, as it may stand inside `{ … }` and `[ … ]` too. */
export const flowText = (value: unknown): string => withoutBrackets([value])

/** `key: value` on one line. */
export const flowPair = (key: string, value: unknown): string => withoutBrackets({ [key]: value })

const withoutBrackets = (value: unknown): string => {
  const document = new Document(value)
  visit(document, { Collection: (_, node) => void setFlow(node) })
  return document.toString(OPTIONS).trim().slice(1, -1).trim()
}

/** A tree over several lines; maps that hold nothing but scalars stay on one. No line break at the end. */
export const blockText = (value: unknown): string => {
  const document = new Document(value)
  visit(document, {
    Map: (_, node, path) => {
      const holdsScalars = node.items.every(({ value: held }) => isScalar(held))
      if (holdsScalars && path.length > 1) setFlow(node)
    },
    Seq: (_, node) => {
      if (node.items.every(isScalar)) setFlow(node)
    },
  })
  return document.toString(OPTIONS).trimEnd()
}

const setFlow = (node: Node): void => {
  if (isCollection(node)) node.flow = true
}

export const isBlock = (node: unknown): boolean => isCollection(node) && node.flow !== true
