import { setTimeout as sleep } from 'node:timers/promises'

/** Generous: the suite must also pass on a small, busy machine. */
const WITHIN_MS = 60_000
const EVERY_MS = 50

/**
 * Asks again and again until there is an answer that is not undefined, null or false. Fails with `what` and the
 * last error or answer when it takes too long.
 */
export const until = async <T>(
  what: string | (() => string),
  probe: () => Promise<T | undefined | null | false> | T | undefined | null | false,
  withinMs = WITHIN_MS,
): Promise<T> => {
  const end = performance.now() + withinMs
  let last: unknown
  do {
    try {
      const found = await probe()
      if (found !== undefined && found !== null && found !== false) return found
      last = found
    } catch (error) {
      last = error
    }
    await sleep(EVERY_MS)
  } while (performance.now() < end)
  throw new Error(
    `waited ${withinMs / 1000} s for ${typeof what === 'string' ? what : what()}; last seen: ${String(last)}`,
  )
}

export const pause = (ms: number): Promise<void> => sleep(ms)
