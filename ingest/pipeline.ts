/**
 * START READING HERE. What happens to bytes, in one place:
 *
 *   bytes → frame (`frame/`) → number as sent (`reading/read-*.ts`) → quality (`reading/quality.ts`) → NewReading
 *
 * and back, where a meter answers only when asked (`frame/asking.ts`). Pure apart from what it remembers of the
 * stream: no clock, no socket, no store inside.
 */
import type { InstrumentConfig, Speech } from './config-port.ts'
import type { Conversation } from './frame/conversation.ts'
import type { Discarded, DiscardReason, Frame } from './frame/frame.ts'
import type { ChannelMap, FieldValue } from './reading/channel-map.ts'
import { createDoubts } from './reading/doubts.ts'
import { assess, type Previous } from './reading/quality.ts'
import { type LineReading, readLine } from './reading/read-line.ts'
import { readRegisters } from './reading/read-registers.ts'
import type { NewReading } from './reading/reading.ts'
import { conversationOf } from './speech.ts'
import type { TimeUs } from './units.ts'

/** When a chunk arrived. */
export interface Arrival {
  readonly timeUs: TimeUs
  readonly monoMs: number
  readonly bootId: string
}

export type Discard = Omit<Discarded, 'kind'>

export interface Outcome {
  readonly frames: number
  readonly readings: readonly NewReading[]
  readonly discarded: readonly Discard[]
  /** The next question to the instruments of this port. */
  readonly send?: Uint8Array | undefined
  /** Call `wake` when uptime has come to this. */
  readonly wakeAtMs?: number | undefined
}

export interface Pipeline {
  push(chunk: Uint8Array, arrival: Arrival): Outcome
  /** The port has opened, or the time asked for has come. */
  wake(arrival: Arrival): Outcome
  /** The port closed: what was unfinished is discarded, with its reason. */
  cut(): Outcome
  /** What the numbers make doubtful in the wiring; null while nothing. */
  doubt(): string | null
}

type Owner = Pick<InstrumentConfig, 'instrument' | 'bench'>

export const createPipeline = (speech: Speech): Pipeline => {
  const conversation: Conversation = conversationOf(speech)
  const doubts = createDoubts()
  const toReading = createAssessor()

  const readingsOf = (
    frame: Exclude<Frame, Discarded>,
    at: Arrival,
  ): readonly NewReading[] | DiscardReason => {
    switch (frame.kind) {
      case 'line': {
        if (speech.speaks !== 'line') return 'unexpected-line'
        const maps = speech.instruments.filter((i) => frame.by === undefined || i.instrument === frame.by)
        const read = readWith(frame.text, maps)
        return typeof read === 'string' ? read : read.values.map((value) => toReading(read.owner, value, at))
      }
      case 'registers': {
        const map =
          speech.speaks === 'modbus-rtu' && speech.instruments.find((i) => i.instrument === frame.by)
        if (!map) return 'unexpected-answer'
        const values = readRegisters(frame, map)
        doubts.look(map.instrument, values)
        return values.map((value) => inDoubt(toReading(map, value, at)))
      }
    }
  }

  const inDoubt = (reading: NewReading): NewReading =>
    reading.quality === 'good' && doubts.isDoubted(reading.series.instrument, reading.series.channel)
      ? { ...reading, quality: 'out-of-range' }
      : reading

  const outcomeOf = (frames: readonly Frame[], at: Arrival | undefined): Outcome => {
    const readings: NewReading[] = []
    const discarded: Discard[] = []
    for (const frame of frames) {
      if (frame.kind === 'discarded') {
        discarded.push(frame)
        continue
      }
      const read = at === undefined ? 'torn' : readingsOf(frame, at)
      if (typeof read === 'string') discarded.push(discardOf(frame, read))
      else readings.push(...read)
    }
    return { frames: frames.length, readings, discarded }
  }

  return {
    push: (chunk, at) => {
      const { frames, send, wakeAtMs } = conversation.push(chunk, at.monoMs)
      return { ...outcomeOf(frames, at), send, wakeAtMs }
    },
    wake: (at) => {
      const { frames, send, wakeAtMs } = conversation.wake(at.monoMs)
      return { ...outcomeOf(frames, at), send, wakeAtMs }
    },
    cut: () => outcomeOf(conversation.close(), undefined),
    doubt: doubts.said,
  }
}

const readWith = (text: string, maps: readonly (Owner & Parameters<typeof readLine>[1])[]) => {
  let why: DiscardReason = 'unexpected-line'
  for (const owner of maps) {
    const read: LineReading = readLine(text, owner)
    if (read.ok) return { owner, values: read.values }
    if (read.why !== 'unexpected-line') why = read.why
  }
  return why
}

/** Numbers to readings; remembers the last believable value of each channel. */
const createAssessor = () => {
  const last = new Map<string, Previous & { bootId: string }>()
  return (owner: Owner, { channel, sent }: FieldValue<ChannelMap>, at: Arrival): NewReading => {
    const series = { bench: owner.bench, instrument: owner.instrument, channel: channel.channel }
    const key = `${owner.instrument}/${channel.channel}`
    const before = last.get(key)
    const assessed = assess(sent, channel, at.monoMs, before?.bootId === at.bootId ? before : undefined)
    const { value, quality } = assessed
    if (value !== null && (quality === 'good' || quality === 'clipped'))
      last.set(key, { value, monoMs: at.monoMs, bootId: at.bootId })
    return { series, timeUs: at.timeUs, bootId: at.bootId, monoMs: at.monoMs, movedUs: 0, ...assessed }
  }
}

const discardOf = (frame: Exclude<Frame, Discarded>, why: DiscardReason): Discard =>
  frame.kind === 'line'
    ? { why, bytes: frame.text.length, sample: frame.text.slice(0, 60) }
    : { why, bytes: 2 * frame.words.length, sample: `registers from ${frame.start}` }
