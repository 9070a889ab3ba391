/**
 * START READING HERE. What happens to bytes, in one place:
 *
 *   bytes → frame (`frame/`) → line map (`reading/read-line.ts`) → quality (`reading/quality.ts`) → NewReading
 *
 * Pure apart from what it remembers of the stream: no clock, no socket, no store inside.
 */
import type { PortConfig } from './config.ts'
import type { DiscardReason, Frame, Framer } from './frame/frame.ts'
import { createLineFramer } from './frame/line-framer.ts'
import { judge, type Previous } from './reading/quality.ts'
import { type FieldValue, type LineMap, readLine } from './reading/read-line.ts'
import type { NewReading } from './reading/reading.ts'
import type { TimeUs } from './units.ts'

/** When a chunk arrived. */
export interface Arrival {
  readonly timeUs: TimeUs
  readonly monoMs: number
  readonly bootId: string
}

export interface Discard {
  readonly why: DiscardReason
  readonly bytes: number
  readonly sample: string
}

export interface Outcome {
  readonly frames: number
  readonly readings: readonly NewReading[]
  readonly discarded: readonly Discard[]
}

export interface Pipeline {
  push(chunk: Uint8Array, arrival: Arrival): Outcome
  /** The port closed: what was unfinished is discarded, with its reason. */
  cut(): Outcome
}

type Instrument = PortConfig['instruments'][number]

export const createPipeline = (port: Pick<PortConfig, 'format' | 'instruments'>): Pipeline => {
  const framer: Framer = createLineFramer(port.format)
  const last = new Map<string, Previous & { bootId: string }>()

  const toReading = (map: LineMap, field: FieldValue, at: Arrival): NewReading => {
    const series = { bench: map.bench, instrument: map.instrument, channel: field.channel.channel }
    const base = { series, timeUs: at.timeUs, bootId: at.bootId, monoMs: at.monoMs, movedUs: 0 }
    if (field.value === null) return { ...base, raw: null, value: null, quality: 'fault' }
    const key = `${map.instrument}/${field.channel.channel}`
    const before = last.get(key)
    const quality = judge(
      field.value,
      at.monoMs,
      field.channel.limits,
      before?.bootId === at.bootId ? before : undefined,
    )
    if (quality === 'good' || quality === 'clipped')
      last.set(key, { value: field.value, monoMs: at.monoMs, bootId: at.bootId })
    return { ...base, raw: field.raw, value: field.value, quality }
  }

  const readWith = (
    text: string,
    maps: readonly Instrument[],
    at: Arrival,
  ): readonly NewReading[] | DiscardReason => {
    let why: DiscardReason = 'unexpected-line'
    for (const map of maps) {
      const read = readLine(text, map)
      if (read.ok) return read.values.map((field) => toReading(map, field, at))
      if (read.why !== 'unexpected-line') why = read.why
    }
    return why
  }

  const outcomeOf = (frames: readonly Frame[], at: Arrival | undefined): Outcome => {
    const readings: NewReading[] = []
    const discarded: Discard[] = []
    for (const frame of frames) {
      if (frame.kind === 'discarded') {
        discarded.push(frame)
        continue
      }
      const read = at === undefined ? 'torn' : readWith(frame.text, port.instruments, at)
      if (typeof read === 'string')
        discarded.push({ why: read, bytes: frame.text.length, sample: frame.text.slice(0, 60) })
      else readings.push(...read)
    }
    return { frames: frames.length, readings, discarded }
  }

  return {
    push: (chunk, arrival) => outcomeOf(framer.push(chunk), arrival),
    cut: () => outcomeOf(framer.close(), undefined),
  }
}
