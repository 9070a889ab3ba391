import type { InstrumentConfig, Speech } from './config-port.ts'
import type { Discarded, DiscardReason, Frame } from './frame/frame.ts'
import type { ChannelMap, FieldValue } from './reading/channel-map.ts'
import { createDoubts } from './reading/doubts.ts'
import { assess, type Previous } from './reading/quality.ts'
import { type LineReading, readLine } from './reading/read-line.ts'
import { readRegisters } from './reading/read-registers.ts'
import type { NewReading } from './reading/reading.ts'
import type { TimeUs } from './units.ts'

/** When a chunk arrived. */
export interface Arrival {
  readonly timeUs: TimeUs
  readonly monoMs: number
  readonly bootId: string
}

export type Discard = Omit<Discarded, 'kind'>

/** A piece of the stream with what became of it. */
export type Taken =
  | { readonly frame: Frame; readonly readings: readonly NewReading[] }
  | { readonly frame: Frame; readonly discarded: Discard }

type Owner = Pick<InstrumentConfig, 'instrument' | 'bench'>

/** Frames to readings, by the wiring of one port. Remembers only what the next number is held against. */
export const createFrameReader = (speech: Speech) => {
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

  return {
    /** `at` is undefined when the port has closed: what was unfinished can be read no more. */
    take: (frame: Frame, at: Arrival | undefined): Taken => {
      if (frame.kind === 'discarded') return { frame, discarded: frame }
      const read = at === undefined ? 'torn' : readingsOf(frame, at)
      return typeof read === 'string'
        ? { frame, discarded: discardOf(frame, read) }
        : { frame, readings: read }
    },
    /** What the numbers make doubtful in the wiring; null while nothing. */
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
