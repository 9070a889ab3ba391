import type { ChannelMap } from './channel-map.ts'
import type { RegisterChannel } from './read-registers.ts'
import { registerValue, WORD_ORDERS, type WordOrder } from './register-value.ts'

/** Readings looked at together, and how many of them must be odd. Engineering judgement: one odd reading is only a glitch. */
const WINDOW = 20
const ODD_NEEDED = 5
/** A swapped float is most often next to nothing (23.4 becomes 4e-8); no meter resolves this little. As sent. */
const NEXT_TO_NOTHING = 1e-6

/**
 * Notices numbers that look like swapped words: again and again out of any belief or next to nothing, while another
 * order makes all of the last numbers plausible. It only says so; nothing is changed. Undefined: no doubt.
 */
export const createWordOrderDoubt = (channel: RegisterChannel) => {
  const seen: (readonly number[])[] = []
  const isOdd = (words: readonly number[]) => !isPlausible(channel, words, channel.order)
  return (words: readonly number[]): string | undefined => {
    seen.push(words)
    if (seen.length > WINDOW) seen.shift()
    if (seen.filter(isOdd).length < ODD_NEEDED) return undefined
    const others = WORD_ORDERS.filter((order) => seen.every((each) => isPlausible(channel, each, order)))
    const [other] = others
    if (other === undefined) return undefined
    return `${channel.channel} in register ${channel.register} looks like swapped words: ${valueWith(channel, words, channel.order)} with order ${channel.order}, but ${valueWith(channel, words, other)} with ${others.join(' or ')}; check order in spargewatch.yaml`
  }
}

const converted = (channel: RegisterChannel, words: readonly number[], order: WordOrder): number =>
  channel.convert(registerValue(words, channel.type, order))

const valueWith = (channel: RegisterChannel, words: readonly number[], order: WordOrder): string =>
  Number(converted(channel, words, order).toPrecision(4)).toString()

const isPlausible = (channel: RegisterChannel, words: readonly number[], order: WordOrder): boolean => {
  const raw = registerValue(words, channel.type, order)
  const isNothing = raw !== 0 && Math.abs(raw) < NEXT_TO_NOTHING
  return Number.isFinite(raw) && !isNothing && isBelievable(channel, raw)
}

const isBelievable = ({ limits: { range }, convert, signal }: ChannelMap, raw: number): boolean =>
  signal?.(raw) !== 'fault' && convert(raw) >= range[0] && convert(raw) <= range[1]
