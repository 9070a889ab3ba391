import type { RE2JS } from 're2js'
import type { DiscardReason } from '../frame/frame.ts'
import type { ChannelMap, FieldValue } from './channel-map.ts'
import { type Decimal, readSent } from './sent-number.ts'

/** How one instrument's lines are read: which line is its own, which part of it is which channel. */
export interface LineMap {
  readonly instrument: string
  readonly bench: string
  readonly separator: string
  /** First field of this instrument's lines; undefined takes every line of the port. */
  readonly startsWith?: string | undefined
  /** Exact number of fields, when known: a line cut short is then never taken for a whole one. */
  readonly fieldCount?: number | undefined
  /** What stands between a key and its number. */
  readonly equals?: string | undefined
  readonly decimal?: Decimal | undefined
  /** Matches a whole line of this instrument; its named groups are the places. Linear in time, whatever comes. */
  readonly pattern?: RE2JS | undefined
  readonly channels: readonly LineChannel[]
}

export interface LineChannel extends ChannelMap {
  /** Where the number stands: position counted from 0, or the name of its key or group. */
  readonly field: number | string
}

export type LineReading =
  | { readonly ok: true; readonly values: readonly FieldValue<LineChannel>[] }
  | { readonly ok: false; readonly why: DiscardReason }

/** The text at each channel's place, or why this line has none. */
type Places = readonly string[] | DiscardReason

/** Reads a line by an instrument's map. All channels or none: half a corrupt line is not trusted. */
export const readLine = (text: string, map: LineMap): LineReading => {
  const places = map.pattern ? placesByPattern(text, map, map.pattern) : placesByField(text, map)
  if (typeof places === 'string') return { ok: false, why: places }
  const values = map.channels.flatMap((channel, i) => {
    const sent = readSent((places[i] ?? '').trim(), map.decimal ?? 'point')
    return sent === undefined ? [] : [{ channel, sent }]
  })
  return values.length === map.channels.length
    ? { ok: true, values }
    : { ok: false, why: 'unreadable-number' }
}

const placesByPattern = (text: string, map: LineMap, pattern: RE2JS): Places => {
  const match = pattern.matcher(text)
  if (!match.matches()) return 'unexpected-line'
  return map.channels.map(({ field }) => match.group(String(field)) ?? '')
}

const placesByField = (text: string, map: LineMap): Places => {
  const fields = text.split(map.separator).map((field) => field.trim())
  if (map.startsWith !== undefined && fields[0] !== map.startsWith) return 'unexpected-line'
  const positions = map.channels.map(({ field }) => (typeof field === 'number' ? field : -1))
  const needed = map.fieldCount ?? Math.max(...positions) + 1
  const countFits = map.fieldCount === undefined ? fields.length >= needed : fields.length === needed
  if (!countFits) return 'wrong-field-count'
  const keyed = numbersByKey(fields, map.equals ?? '=')
  const found = map.channels.map(({ field }) =>
    typeof field === 'number' ? [fields[field] ?? ''] : (keyed.get(field) ?? []),
  )
  if (found.some((texts) => texts.length > 1)) return 'repeated-key'
  // a line without any of its keys is some other line; with some of them it was cut
  if (found.every((texts) => texts.length === 0)) return 'unexpected-line'
  if (found.some((texts) => texts.length === 0)) return 'missing-key'
  return found.map(([only]) => only ?? '')
}

const numbersByKey = (fields: readonly string[], equals: string): ReadonlyMap<string, readonly string[]> => {
  const found = new Map<string, string[]>()
  for (const field of fields) {
    const at = field.indexOf(equals)
    if (at < 0) continue
    const key = field.slice(0, at).trim()
    found.set(key, [...(found.get(key) ?? []), field.slice(at + equals.length)])
  }
  return found
}
