import {
  isCollection,
  isMap,
  isNode,
  isPair,
  isScalar,
  isSeq,
  type Node,
  parseDocument,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml'
import type { Edit, Path } from './edits.ts'
import { blockText, flowPair, flowText, isBlock } from './yaml-text.ts'

/** The text with one change cut in and every other byte as it was; undefined when it cannot be cut in. */
export const spliced = (text: string, edit: Edit): string | undefined => {
  const document = parseDocument(text, { keepSourceTokens: true })
  if (document.errors.length > 0) return undefined
  const at = (path: Path): unknown => (path.length === 0 ? document.contents : document.getIn(path, true))
  switch (edit.do) {
    case 'set':
      return withValue(text, at(edit.path), edit.value)
    case 'add': {
      const map = at(edit.path)
      return isMap(map) ? withKey(text, map, edit.key, edit.value) : undefined
    }
    case 'append': {
      const list = at(edit.path)
      return isSeq(list) ? withItem(text, list, edit.value) : undefined
    }
    case 'remove': {
      const holder = at(edit.path.slice(0, -1))
      return isMap(holder) || isSeq(holder) ? without(text, holder, edit.path.at(-1)) : undefined
    }
  }
}

const withValue = (text: string, node: unknown, value: unknown): string | undefined => {
  const isOnOneLine = isScalar(node) || (isCollection(node) && node.flow === true)
  if (!isOnOneLine || !isNode(node) || !node.range) return undefined
  const [start, end] = node.range
  return start === end ? undefined : cut(text, start, end, flowText(value))
}

const withKey = (text: string, map: YAMLMap, key: string, value: unknown): string | undefined => {
  const [first] = map.items
  const last = map.items.at(-1)
  if (first === undefined || last === undefined) return undefined
  if (!isBlock(map)) return cut(text, endOf(text, last), endOf(text, last), `, ${flowPair(key, value)}`)
  const indent = columnOf(text, startOf(first))
  return insertLines(text, map, indent, blockText({ [key]: value }))
}

const withItem = (text: string, list: YAMLSeq, value: unknown): string | undefined => {
  const last = list.items.at(-1)
  const [first] = list.items
  if (last === undefined) return undefined
  if (!isBlock(list)) return cut(text, endOf(text, last), endOf(text, last), `, ${flowText(value)}`)
  const dash = dashOf(text, startOf(first))
  return dash === undefined ? undefined : insertLines(text, list, dash, blockText([value]))
}

/** After the last line of a collection and the comments inside its last part. */
const insertLines = (text: string, after: Node, indent: number, block: string): string => {
  const newLine = text.includes('\r\n') ? '\r\n' : '\n'
  const lines = block.split('\n').map((line) => `${' '.repeat(indent)}${line}${newLine}`)
  const end = afterComments(text, lineEnd(text, endOf(text, after)), indent)
  const isWhole = end === 0 || text[end - 1] === '\n'
  return cut(text, end, end, `${isWhole ? '' : newLine}${lines.join('')}`)
}

const without = (text: string, holder: YAMLMap | YAMLSeq, key: unknown): string | undefined => {
  const items: readonly unknown[] = holder.items
  const i = isSeq(holder)
    ? Number(key)
    : holder.items.findIndex((p) => isScalar(p.key) && p.key.value === key)
  const item = items[i]
  if (item === undefined || items.length < 2) return undefined
  if (!isBlock(holder))
    return i > 0
      ? cut(text, endOf(text, items[i - 1]), endOf(text, item), '')
      : cut(text, startOf(item), startOf(items[1]), '')
  const start = startOf(item)
  const line = lineStart(text, start)
  const lead = text.slice(line, start)
  // the first key beside the dash of its item cannot go alone
  if (!(isSeq(holder) ? /^\s*-\s+$/ : /^\s*$/).test(lead)) return undefined
  return cut(text, line, lineEnd(text, endOf(text, item)), '')
}

const cut = (text: string, start: number, end: number, into: string): string =>
  `${text.slice(0, start)}${into}${text.slice(end)}`

const startOf = (item: unknown): number => {
  const node = isPair(item) ? item.key : item
  return isNode(node) ? (node.range?.[0] ?? 0) : 0
}

/** End of what it says; the ranges of block collections take in the comments and empty lines that follow. */
const endOf = (text: string, item: unknown): number => {
  if (isPair(item)) return Math.max(endOf(text, item.key), endOf(text, item.value))
  if (isCollection(item) && isBlock(item) && item.items.length > 0) return endOf(text, item.items.at(-1))
  const end = isNode(item) ? (item.range?.[1] ?? 0) : 0
  return text.slice(0, end).trimEnd().length
}

const lineStart = (text: string, at: number): number => text.lastIndexOf('\n', at - 1) + 1

/** Just after the line break of the line. */
const lineEnd = (text: string, at: number): number => {
  const end = text.indexOf('\n', at)
  return end < 0 ? text.length : end + 1
}

const columnOf = (text: string, at: number): number => at - lineStart(text, at)

const dashOf = (text: string, at: number): number | undefined => {
  const lead = text.slice(lineStart(text, at), at)
  return /^ *-\s+$/.test(lead) ? lead.indexOf('-') : undefined
}

/** Comments set further in than the new lines belong to what stands before them. */
const afterComments = (text: string, from: number, indent: number): number => {
  const line = /^( *)#.*(\r?\n|$)/.exec(text.slice(from))
  return line && (line[1]?.length ?? 0) > indent && line[0].length > 0
    ? afterComments(text, from + line[0].length, indent)
    : from
}
