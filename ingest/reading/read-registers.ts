import type { RegisterFrame } from '../frame/frame.ts'
import type { RegisterTable } from '../frame/modbus-request.ts'
import type { ChannelMap, FieldValue, Sent } from './channel-map.ts'
import { type RegisterType, registersOf, registerValue, type WordOrder } from './register-value.ts'

/** How one unit's registers are read. */
export interface RegisterMap {
  readonly instrument: string
  readonly bench: string
  /** Address of the unit on the line, 1 to 247. */
  readonly address: number
  readonly channels: readonly RegisterChannel[]
}

export interface RegisterChannel extends ChannelMap {
  readonly table: RegisterTable
  /** Wire address, counted from 0. */
  readonly register: number
  readonly type: RegisterType
  readonly order: WordOrder
}

export interface RegisterValue extends FieldValue<RegisterChannel> {
  /** The registers as they came. */
  readonly words: readonly number[]
}

/** The channels of an instrument that lie in an answer to one of its questions. */
export const readRegisters = (
  { table, start, words }: RegisterFrame,
  map: RegisterMap,
): readonly RegisterValue[] =>
  map.channels.flatMap((channel) => {
    const at = channel.register - start
    const end = at + registersOf(channel.type)
    if (channel.table !== table || at < 0 || end > words.length) return []
    const own = words.slice(at, end)
    return [{ channel, words: own, sent: sentOf(registerValue(own, channel.type, channel.order)) }]
  })

/** Not a number and infinities are a meter's way to say that it has none: never 0, never a value. */
const sentOf = (value: number): Sent =>
  Number.isFinite(value) ? { kind: 'number', raw: value } : { kind: 'none' }
