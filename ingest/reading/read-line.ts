import type { DiscardReason } from '../frame/frame.ts'
import type { ChannelLimits } from './quality.ts'
import type { Channel } from './reading.ts'

/** How one instrument's lines are read: which line is its own, which field is which channel. */
export interface LineMap {
  readonly instrument: string
  readonly bench: string
  readonly separator: string
  /** First field of this instrument's lines; undefined takes every line of the port. */
  readonly startsWith?: string | undefined
  /** Exact number of fields, when known: a line cut short is then never taken for a whole one. */
  readonly fieldCount?: number | undefined
  readonly channels: readonly ChannelMap[]
}

export interface ChannelMap {
  readonly channel: Channel
  /** Position in the line, counted from 0. */
  readonly field: number
  readonly unit: string
  readonly convert: (sent: number) => number
  readonly limits: ChannelLimits
}

/** One field of one line: a number as sent and in canonical unit, or the instrument's own word for "no number". */
export type FieldValue =
  | { readonly channel: ChannelMap; readonly raw: number; readonly value: number }
  | { readonly channel: ChannelMap; readonly raw: null; readonly value: null }

export type LineReading =
  | { readonly ok: true; readonly values: readonly FieldValue[] }
  | { readonly ok: false; readonly why: DiscardReason }

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/
/** What meters send when they have no number: empty, dashes, stars, or a word. Read as a fault, never as 0. */
const NO_NUMBER =
  /^(|-+\.?-*|\*+|\?+|nan|inf|-inf|[+-]?inf(inity)?|err(or)?[ :_-]?\w*|e\d{1,3}|fault|open|short|n\/a|na|none|null|off|over(range)?|under(range)?|ol)$/i

/** Reads a line by an instrument's map. All channels or none: half a corrupt line is not trusted. */
export const readLine = (text: string, map: LineMap): LineReading => {
  const fields = text.split(map.separator).map((field) => field.trim())
  if (map.startsWith !== undefined && fields[0] !== map.startsWith)
    return { ok: false, why: 'unexpected-line' }
  const needed = map.fieldCount ?? Math.max(...map.channels.map((c) => c.field)) + 1
  const countFits = map.fieldCount === undefined ? fields.length >= needed : fields.length === needed
  if (!countFits) return { ok: false, why: 'wrong-field-count' }
  const values = map.channels.map((channel) => readField(fields[channel.field] ?? '', channel))
  const whole = values.filter((v): v is FieldValue => v !== undefined)
  return whole.length === values.length
    ? { ok: true, values: whole }
    : { ok: false, why: 'unreadable-number' }
}

const readField = (field: string, channel: ChannelMap): FieldValue | undefined => {
  if (NO_NUMBER.test(field)) return { channel, raw: null, value: null }
  if (!NUMBER.test(field)) return undefined
  const raw = Number(field)
  return Number.isFinite(raw) ? { channel, raw, value: channel.convert(raw) } : undefined
}
