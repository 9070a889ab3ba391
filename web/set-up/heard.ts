import type { LineHeard, RegistersHeard, TapEvent } from '../../server/wire.ts'

export type FrameHeard = LineHeard | RegistersHeard
type Bytes = Extract<TapEvent, { kind: 'bytes' }>
type Discarded = Extract<TapEvent, { kind: 'discarded' }>

/** What has been heard of a port, the newest last, up to what a person can look at. */
export interface Heard {
  readonly state: Extract<TapEvent, { kind: 'state' }> | null
  readonly pieces: readonly Bytes[]
  readonly frames: readonly FrameHeard[]
  readonly discards: readonly {
    readonly why: Discarded['why']
    readonly count: number
    readonly sample: string
  }[]
  readonly doubt: string | null
  readonly counts: {
    readonly bytes: number
    readonly odd: number
    readonly frames: number
    readonly lost: number
  }
  readonly ended: string | null
}

export const NOTHING_HEARD: Heard = {
  state: null,
  pieces: [],
  frames: [],
  discards: [],
  doubt: null,
  counts: { bytes: 0, odd: 0, frames: 0, lost: 0 },
  ended: null,
}

const MOST_PIECES = 40
const MOST_FRAMES = 40

export const hear = (heard: Heard, events: readonly TapEvent[]): Heard => events.reduce(withEvent, heard)

const withEvent = (heard: Heard, event: TapEvent): Heard => {
  switch (event.kind) {
    case 'state':
      return { ...heard, state: event }
    case 'bytes':
      return { ...heard, pieces: [...heard.pieces, event].slice(-MOST_PIECES), counts: counted(heard, event) }
    case 'line':
    case 'registers':
      return {
        ...heard,
        frames: [...heard.frames, event].slice(-MOST_FRAMES),
        counts: { ...heard.counts, frames: heard.counts.frames + 1 },
        discards: event.why === null ? heard.discards : withDiscard(heard, event.why, sampleOf(event)),
      }
    case 'discarded':
      return { ...heard, discards: withDiscard(heard, event.why, event.sample) }
    case 'doubt':
      return { ...heard, doubt: event.why }
    case 'lost':
      return { ...heard, counts: { ...heard.counts, lost: heard.counts.lost + event.frames + event.bytes } }
    case 'ended':
    case 'refused':
      return { ...heard, ended: event.why }
    case 'listening':
      return heard
    default:
      return event satisfies never
  }
}

const counted = ({ counts }: Heard, { hex, way }: Bytes): Heard['counts'] => {
  if (way === 'to-meter') return counts
  const bytes = bytesOf(hex)
  return {
    ...counts,
    bytes: counts.bytes + bytes.length,
    odd: counts.odd + bytes.filter((b) => !isText(b)).length,
  }
}

const withDiscard = ({ discards }: Heard, why: Discarded['why'], sample: string): Heard['discards'] => {
  const before = discards.find((d) => d.why === why)
  return [...discards.filter((d) => d.why !== why), { why, count: (before?.count ?? 0) + 1, sample }]
}

const sampleOf = (frame: FrameHeard): string =>
  frame.kind === 'line' ? frame.text.slice(0, 60) : `registers from ${frame.start}`

export const bytesOf = (hex: string): number[] =>
  (hex.match(/../g) ?? []).map((two) => Number.parseInt(two, 16))

const isText = (byte: number): boolean =>
  (byte >= 32 && byte < 127) || byte === 9 || byte === 10 || byte === 13

const SIGNS: Readonly<Record<number, string>> = { 9: '[TAB]', 10: '[LF]', 13: '[CR]' }

/** Bytes as text, with a name or a dot for what cannot be seen. */
export const shownText = (hex: string): string =>
  bytesOf(hex)
    .map((b) => SIGNS[b] ?? (isText(b) ? String.fromCharCode(b) : '·'))
    .join('')

export const shownHex = (hex: string): string => hex.replace(/../g, '$& ').trim()
