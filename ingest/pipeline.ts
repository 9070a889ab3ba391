/**
 * START READING HERE. What happens to bytes, in one place:
 *
 *   bytes → frame (`frame/`) → number as sent (`reading/read-*.ts`) → quality (`reading/quality.ts`) → NewReading
 *
 * and back, where a meter answers only when asked (`frame/asking.ts`). Pure apart from what it remembers of the
 * stream: no clock, no socket, no store inside.
 */
import type { Speech } from './config-port.ts'
import type { Conversation } from './frame/conversation.ts'
import type { Frame } from './frame/frame.ts'
import { type Arrival, createFrameReader, type Discard, type Taken } from './read-frames.ts'
import type { NewReading } from './reading/reading.ts'
import { conversationOf } from './speech.ts'

export interface Outcome {
  readonly frames: number
  readonly readings: readonly NewReading[]
  readonly discarded: readonly Discard[]
  /** The same, piece by piece in order of the stream. */
  readonly taken: readonly Taken[]
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

export const createPipeline = (speech: Speech): Pipeline => {
  const conversation: Conversation = conversationOf(speech)
  const reader = createFrameReader(speech)

  const outcomeOf = (frames: readonly Frame[], at: Arrival | undefined): Outcome => {
    const taken = frames.map((frame) => reader.take(frame, at))
    return {
      frames: frames.length,
      readings: taken.flatMap((t) => ('readings' in t ? t.readings : [])),
      discarded: taken.flatMap((t) => ('discarded' in t ? [t.discarded] : [])),
      taken,
    }
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
    doubt: reader.doubt,
  }
}
