import type { TapEvent } from './tap-event.ts'

export interface RingBounds {
  readonly events: number
  /** Raw bytes held. */
  readonly bytes: number
}

/** What a listener may be behind by. At 115200 baud, 8N1, 32 kB are under 3 s. */
export const RING_BOUNDS: RingBounds = { events: 400, bytes: 32_768 }

/** Bytes that arrive in crumbs are told together up to this many. */
const LONGEST_PIECE = 512

export interface Ring {
  put(event: TapEvent): void
  /** Everything held, oldest first, after how much was given up; empties the ring. */
  take(): TapEvent[]
}

/** The newest events up to a bound. At the bound the oldest give way and are counted. Port state is never given up. */
export const createRing = (bounds: RingBounds = RING_BOUNDS): Ring => {
  let held: TapEvent[] = []
  let heldBytes = 0
  let lost = { frames: 0, bytes: 0 }
  let state: TapEvent | undefined
  let doubt: TapEvent | undefined

  const dropOldest = () => {
    const [oldest] = held
    held.shift()
    if (oldest === undefined) return
    const bytes = bytesOf(oldest)
    heldBytes -= bytes
    lost = { frames: lost.frames + (bytes === 0 ? 1 : 0), bytes: lost.bytes + bytes }
  }

  const add = (event: TapEvent) => {
    const last = held.at(-1)
    const joined = last && join(last, event)
    if (joined) held[held.length - 1] = joined
    else held.push(event)
    heldBytes += bytesOf(event)
    while (held.length > bounds.events || heldBytes > bounds.bytes) dropOldest()
  }

  return {
    put(event) {
      if (event.kind === 'state') state = event
      else if (event.kind === 'doubt') doubt = event
      else add(event)
    },
    take() {
      const told: TapEvent[] = [
        ...(lost.frames + lost.bytes > 0 ? [{ kind: 'lost' as const, ...lost }] : []),
        ...(state ? [state] : []),
        ...held,
        ...(doubt ? [doubt] : []),
      ]
      held = []
      heldBytes = 0
      lost = { frames: 0, bytes: 0 }
      state = undefined
      doubt = undefined
      return told
    },
  }
}

const bytesOf = (event: TapEvent): number => (event.kind === 'bytes' ? event.hex.length / 2 : 0)

const join = (last: TapEvent, next: TapEvent): TapEvent | undefined =>
  last.kind === 'bytes' &&
  next.kind === 'bytes' &&
  last.way === next.way &&
  last.hex.length + next.hex.length <= 2 * LONGEST_PIECE
    ? { ...last, hex: last.hex + next.hex }
    : undefined
