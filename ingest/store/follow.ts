import type { Reading } from '../reading/reading.ts'
import type { SqliteStore } from './sqlite-store.ts'

export interface FollowOptions {
  readonly afterSeq: number
  readonly everyMs?: number
  readonly onReadings: (readings: readonly Reading[]) => void
  readonly onTrouble: (error: unknown) => void
}

const EVERY_MS = 20
const AT_ONCE = 5000

/**
 * Hands over readings in order of arrival, late ones included, soon after each commit of another process.
 * `data_version` costs microseconds and changes only for the commits of *other* connections, so the store
 * given must be one that never writes. Returns a function that stops.
 */
export const follow = (store: SqliteStore, options: FollowOptions): (() => void) => {
  if (Number(store.db.pragma('query_only', { simple: true })) !== 1)
    throw new TypeError('follow needs a connection that never writes, got a writing one')
  let seen = -1
  let seq = options.afterSeq
  const look = () => {
    try {
      const version = Number(store.db.pragma('data_version', { simple: true }))
      if (version === seen) return
      for (let news = store.after(seq, AT_ONCE); news.length > 0; news = store.after(seq, AT_ONCE)) {
        seq = news.at(-1)?.seq ?? seq
        options.onReadings(news)
      }
      seen = version
    } catch (error) {
      options.onTrouble(error)
    }
  }
  const timer = setInterval(look, options.everyMs ?? EVERY_MS)
  look()
  return () => clearInterval(timer)
}
