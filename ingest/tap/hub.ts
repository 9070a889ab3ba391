import type { Clock } from '../clock.ts'
import type { Discarded, Frame } from '../frame/frame.ts'
import type { Taken } from '../read-frames.ts'
import { canonicalUnit } from '../reading/unit-conversion.ts'
import type { PortStatus } from '../store/store.ts'
import type { TapEvent, TapValue, Way } from './tap-event.ts'

/** What a port at work tells of itself while it works. */
export interface PortTap {
  bytes(way: Way, bytes: Uint8Array): void
  taken(taken: readonly Taken[]): void
  state(state: PortStatus['state'], why: string | null): void
  doubt(why: string | null): void
}

type Listener = (event: TapEvent) => void

export interface TapHub {
  of(port: string): PortTap
  listen(port: string, listener: Listener): () => void
}

/** Bytes are told in pieces no longer than this. */
const PIECE = 512

/** Who listens to which port. A port that nobody listens to pays for one look-up. */
export const createTapHub = (clock: Clock): TapHub => {
  const listeners = new Map<string, Set<Listener>>()
  return {
    of: (port) => {
      const told = () => listeners.get(port)
      return tapInto(
        (event) => told()?.forEach((listener) => void listener(event)),
        clock,
        () => (told()?.size ?? 0) > 0,
      )
    },
    listen: (port, listener) => {
      const there = listeners.get(port) ?? new Set()
      listeners.set(port, there.add(listener))
      return () => {
        there.delete(listener)
        if (there.size === 0) listeners.delete(port)
      }
    },
  }
}

/** Turns what a port does into events. */
export const tapInto = (tell: Listener, clock: Clock, isHeard: () => boolean = () => true): PortTap => {
  const whenHeard = (events: () => Iterable<TapEvent>) => {
    if (!isHeard()) return
    for (const event of events()) tell(event)
  }
  const now = () => ({ at_ms: clock.now() / 1000, mono_ms: clock.monoMs() })
  return {
    bytes: (way, bytes) =>
      whenHeard(() =>
        piecesOf(bytes).map((piece) => ({
          kind: 'bytes' as const,
          at_ms: now().at_ms,
          way,
          hex: Buffer.from(piece).toString('hex'),
        })),
      ),
    taken: (taken) => whenHeard(() => taken.map((each) => eventOf(each, now()))),
    state: (state, why) => whenHeard(() => [{ kind: 'state', state, why }]),
    doubt: (why) => whenHeard(() => [{ kind: 'doubt', why }]),
  }
}

const piecesOf = (bytes: Uint8Array): Uint8Array[] =>
  Array.from({ length: Math.ceil(bytes.length / PIECE) }, (_, i) =>
    bytes.subarray(i * PIECE, (i + 1) * PIECE),
  )

type At = { readonly at_ms: number; readonly mono_ms: number }

const eventOf = (taken: Taken, at: At): TapEvent => {
  const { frame } = taken
  if (frame.kind === 'discarded') return discardedEvent(frame, at)
  const why = 'discarded' in taken ? taken.discarded.why : null
  return frameEvent(frame, at, 'readings' in taken ? taken.readings.map(shownValue) : [], why)
}

export const frameEvent = (
  frame: Exclude<Frame, Discarded>,
  at: At,
  values: readonly TapValue[] = [],
  why: Discarded['why'] | null = null,
): TapEvent =>
  frame.kind === 'line'
    ? { kind: 'line', ...at, text: frame.text, values, why }
    : {
        kind: 'registers',
        ...at,
        by: frame.by,
        table: frame.table,
        start: frame.start,
        words: frame.words,
        values,
        why,
      }

export const discardedEvent = ({ why, bytes, sample }: Discarded, { at_ms }: At): TapEvent => ({
  kind: 'discarded',
  at_ms,
  why,
  bytes,
  sample,
})

export const shownValue = ({
  series,
  value,
  quality,
}: Extract<Taken, { readings: unknown }>['readings'][number]): TapValue => ({
  instrument: series.instrument,
  channel: series.channel,
  value,
  unit: canonicalUnit(series.channel),
  quality,
})
