import type { ChannelSchema } from './config-schema.ts'
import type { ChannelLimits } from './reading/channel-limits.ts'
import type { ChannelMap } from './reading/channel-map.ts'
import { currentMark, scaleCurrent } from './reading/current-loop.ts'
import { pt100Temperature } from './reading/pt100.ts'
import { GREATEST_CHANGE_PER_S, PLAUSIBLE_RANGE } from './reading/quality.ts'
import type { LineChannel } from './reading/read-line.ts'
import type { RegisterChannel } from './reading/read-registers.ts'
import { toCanonical } from './reading/unit-conversion.ts'
import { ohms } from './units.ts'

export const lineChannelOf = (c: ChannelSchema): LineChannel => ({
  ...channelOf(c),
  field: c.field ?? c.key ?? c.group ?? 0,
})

export const registerChannelOf = (c: ChannelSchema): RegisterChannel => ({
  ...(c.type === 'float32' ? withFloatMark(channelOf(c)) : channelOf(c)),
  table: c.table ?? 'holding',
  register: c.register ?? 0,
  type: c.type ?? 'uint16',
  order: c.order ?? 'ABCD',
})

/** Least float32 with all its digits (IEEE 754-2019, 3.6: emin of binary32 is −126). */
const LEAST_NORMAL = 2 ** -126

/** A float below it is no measurement but something else in these registers: swapped words, NaN in the wrong order. */
const withFloatMark = (map: ChannelMap): ChannelMap => ({
  ...map,
  signal: (sent) => (sent !== 0 && Math.abs(sent) < LEAST_NORMAL ? 'out-of-range' : map.signal?.(sent)),
})

const channelOf = (c: ChannelSchema): ChannelMap => {
  const scaled = (sent: number) => sent * (c.scale ?? 1) + (c.offset ?? 0)
  const { convert, mark, limits } = meaningOf(c)
  return {
    channel: c.channel,
    unit: c.unit,
    convert: (sent) => convert(scaled(sent)),
    limits,
    ...(mark ? { signal: (sent: number) => mark(scaled(sent)) } : {}),
  }
}

interface Meaning {
  readonly convert: (sent: number) => number
  readonly mark?: ChannelMap['signal']
  readonly limits: ChannelLimits
}

/** Limits are stated in the unit of the numbers; for a current or a resistance in the unit that is stored. */
const meaningOf = (c: ChannelSchema): Meaning => {
  if (c.unit === 'mA') {
    const span = { at4mA: c.at_4ma ?? 0, at20mA: c.at_20ma ?? 0 }
    const limits = { ...limitsOf(c, (value) => value), fullScale: span.at20mA }
    // from 20 mA on the span has ended: its end is a bound, and what lies beyond is not worked out
    return { convert: (mA) => scaleCurrent(Math.min(mA, 20), span), mark: currentMark, limits }
  }
  if (c.unit === 'ohm') {
    const convert = (resistance: number): number => pt100Temperature(ohms(resistance)) ?? Number.NaN
    return {
      convert,
      mark: (resistance) => (Number.isNaN(convert(resistance)) ? 'fault' : undefined),
      limits: limitsOf(c, (value) => value),
    }
  }
  const convert = toCanonical(c.channel, c.unit) ?? ((sent: number) => sent)
  return { convert, limits: limitsOf(c, convert) }
}

const limitsOf = (c: ChannelSchema, convert: (stated: number) => number): ChannelLimits => ({
  range: c.range ? [convert(c.range[0]), convert(c.range[1])] : PLAUSIBLE_RANGE[c.channel],
  fullScale: c.full_scale === undefined ? undefined : convert(c.full_scale),
  maxChangePerS:
    c.max_change_per_s === undefined
      ? GREATEST_CHANGE_PER_S[c.channel]
      : convert(c.max_change_per_s) - convert(0),
})
