import type { Document, LineCounter } from 'yaml'
import { isNode } from 'yaml'
import type { z } from 'zod'
import type { ReferenceFault } from './config-fault.ts'
import { referenceFaults } from './config-references.ts'

/** One line per fault: where it stands, what was found, what is needed. */
export const faultsOf = (
  issues: readonly z.core.$ZodIssue[],
  document: Document,
  lines: LineCounter,
): string[] =>
  issues.flatMap((issue) => {
    const path = issue.path.map((p) => (typeof p === 'symbol' ? String(p) : p))
    if (issue.code === 'unrecognized_keys')
      return issue.keys.map(
        (key) => `${where([...path, key], document, lines)} is not a setting here; check its spelling`,
      )
    return [`${where(path, document, lines)} ${requirement(issue)}, got ${shown(document.getIn(path))}`]
  })

/** The same for names that point at nothing. */
export const referencesOf = (raw: unknown, document: Document, lines: LineCounter): string[] =>
  sayFaults(referenceFaults(raw), document, lines)

export const sayFaults = (
  faults: readonly ReferenceFault[],
  document: Document,
  lines: LineCounter,
): string[] =>
  faults.map(
    ({ path, message }) =>
      `${where(path, document, lines)} ${message}, got ${shown(document.getIn([...path]))}`,
  )

const where = (path: readonly (string | number)[], document: Document, lines: LineCounter): string => {
  const key = path.reduce<string>(
    (text, p) => (typeof p === 'number' ? `${text}[${p}]` : text ? `${text}.${p}` : p),
    '',
  )
  const line = lineOf(path, document, lines)
  return `${key || 'the file'}${line === undefined ? '' : ` (line ${line})`}`
}

/** Line of the value, or of the nearest thing around it that exists. */
const lineOf = (
  path: readonly (string | number)[],
  document: Document,
  lines: LineCounter,
): number | undefined => {
  for (let length = path.length; length > 0; length--) {
    const node = document.getIn(path.slice(0, length), true)
    if (isNode(node) && node.range) return lines.linePos(node.range[0]).line
  }
  return undefined
}

const requirement = (issue: z.core.$ZodIssue): string => {
  const message = issue.message
    .replace(/^Invalid input: expected /, 'needs ')
    .replace(/^Invalid option: expected /, 'needs ')
    .replace(/, received .*$/, '')
  return /^needs /.test(message) ? message : `needs another value (${message})`
}

/** A user in an address may have brought a password along, which is not for the log. */
const USER_IN_ADDRESS = /\/\/[^/@\s"]*@/g

const shown = (value: unknown): string =>
  value === undefined
    ? 'nothing'
    : (JSON.stringify(value) ?? String(value)).replace(USER_IN_ADDRESS, '//(hidden)@').slice(0, 80)
