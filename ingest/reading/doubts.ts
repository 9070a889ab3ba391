import type { RegisterValue } from './read-registers.ts'
import type { Channel } from './reading.ts'
import { createWordOrderDoubt } from './word-order-doubt.ts'

/** What the numbers of a port make doubtful in its wiring, channel by channel. */
export const createDoubts = () => {
  const watching = new Map<string, ReturnType<typeof createWordOrderDoubt>>()
  const standing = new Map<string, string>()
  return {
    look: (instrument: string, values: readonly RegisterValue[]): void => {
      for (const { channel, words } of values) {
        const key = `${instrument}/${channel.channel}`
        const watch = watching.get(key) ?? createWordOrderDoubt(channel)
        watching.set(key, watch)
        const doubt = watch(words)
        if (doubt === undefined) standing.delete(key)
        else standing.set(key, `${instrument}: ${doubt}`)
      }
    },
    /** A number in doubt is kept as it came, but nobody shall take it for a measurement. */
    isDoubted: (instrument: string, channel: Channel): boolean => standing.has(`${instrument}/${channel}`),
    said: (): string | null => (standing.size === 0 ? null : [...standing.values()].join('; ')),
  }
}
