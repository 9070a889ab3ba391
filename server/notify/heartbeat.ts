import type { Outcome } from './outcome.ts'
import { postSigned } from './webhook.ts'

export interface HeartbeatOptions {
  readonly url: string
  readonly secret: string
  readonly everyMs: number
  readonly nowMs: () => number
  readonly newId: () => string
  readonly body: () => object
  readonly onTrouble: (error: unknown) => void
}

export interface HeartbeatSeen {
  readonly lastDoneMs: number | null
  /** Why the last one did not get through; null when it did. */
  readonly why: string | null
}

/** A sign of life every so often, for a check elsewhere that notices when it stays away. None is ever sent late. */
export const startHeartbeat = (options: HeartbeatOptions) => {
  const { url, secret, everyMs, nowMs, newId, body, onTrouble } = options
  let seen: HeartbeatSeen = { lastDoneMs: null, why: null }
  let isUnderWay = false
  const beat = async () => {
    if (isUnderWay) return
    isUnderWay = true
    try {
      const outcome = await postSigned({ url, secret, id: newId(), body: body(), nowMs: nowMs() })
      seen = seenAfter(outcome, seen, nowMs())
    } catch (error) {
      onTrouble(error)
    } finally {
      isUnderWay = false
    }
  }
  const timer = setInterval(() => void beat(), everyMs)
  void beat()
  return { seen: () => seen, stop: () => clearInterval(timer) }
}

const seenAfter = (outcome: Outcome, before: HeartbeatSeen, nowMs: number): HeartbeatSeen =>
  outcome.kind === 'delivered'
    ? { lastDoneMs: nowMs, why: null }
    : { lastDoneMs: before.lastDoneMs, why: outcome.why }
