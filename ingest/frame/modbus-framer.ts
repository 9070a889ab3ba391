import type { AnswerFramer, Heard } from './answer-framer.ts'
import { crc16, crc16Next, START } from './crc16.ts'
import type { Discarded, DiscardReason, Frame } from './frame.ts'
import { explainException } from './modbus-exception.ts'
import { describeRequest, functionOf, type ReadRequest, requestBytes } from './modbus-request.ts'

/** A request with the instrument that it is for. */
export interface RegisterQuestion {
  readonly by: string
  readonly request: ReadRequest
}

/** Unit, function, byte count or code, CRC: no answer is shorter. */
const SHORTEST = 5
/** Bytes remembered of what cannot be used, to say what it was. Source: longest RTU frame, serial line guide V1.02, 2.5.1. */
const MOST_REMEMBERED = 256
const SAMPLE_BYTES = 20

/**
 * Answers of Modbus RTU out of a byte stream, by expected length and CRC. The silent intervals of the standard
 * (1.5 and 3.5 characters) cannot be heard through a USB adapter or a network, so they decide nothing here: any
 * place in the stream may begin the answer, and only the CRC makes it one.
 */
export const createModbusFramer = (): AnswerFramer<RegisterQuestion> => {
  let question: RegisterQuestion | undefined
  /** The question as it went out, while it may still come back from a two-wire line. */
  let echo: Uint8Array | undefined
  /** Bytes that may be the answer or its beginning; never longer than one answer. */
  let candidate: number[] = []
  let waste = nothingHeard()

  const ask = (next: RegisterQuestion | undefined) => {
    question = next
    echo = next && requestBytes(next.request)
    candidate = []
    waste = nothingHeard()
  }

  const whatTheBytesAre = (asked: RegisterQuestion): Seen => {
    if (echo !== undefined && waste.bytes === 0) {
      const isEcho = candidate.every((byte, i) => byte === echo?.[i])
      if (isEcho && candidate.length < echo.length) return 'incomplete'
      if (isEcho) return 'echo'
    }
    return look(candidate, asked)
  }

  /** One byte of the stream; what it completes. */
  const take = (byte: number): Heard => {
    if (question === undefined) {
      waste.add(byte)
      return NOTHING
    }
    candidate.push(byte)
    for (;;) {
      const seen = whatTheBytesAre(question)
      if (seen === 'incomplete') return NOTHING
      if (seen === 'echo') {
        const frame = discard('own-echo', candidate)
        candidate = []
        echo = undefined
        return { frames: [frame], end: undefined }
      }
      if (typeof seen === 'object') {
        const before = waste.bytes > 0 ? [waste.asDiscard(beforeAnswer(waste, question.request))] : []
        ask(undefined)
        return { frames: [...before, seen], end: seen.kind === 'registers' ? 'answered' : 'refused' }
      }
      if (seen === 'checksum-wrong') waste.checksumWrong = true
      waste.add(candidate.shift() ?? 0)
    }
  }

  const wasteAll = () => {
    for (const byte of candidate) waste.add(byte)
    candidate = []
  }

  return {
    expect(next) {
      const frames = waste.bytes > 0 ? [waste.asDiscard(waste.isWhole() ? 'late-answer' : 'noise')] : []
      ask(next)
      return frames
    },
    push(chunk) {
      const heard = Array.from(chunk, take)
      return { frames: heard.flatMap((h) => h.frames), end: heard.find((h) => h.end !== undefined)?.end }
    },
    giveUp() {
      if (question === undefined) return []
      wasteAll()
      const { request } = question
      const frame =
        waste.bytes === 0
          ? discard('no-answer', [], describeRequest(request))
          : waste.asDiscard(whyNoAnswer(waste, request))
      ask(undefined)
      return [frame]
    },
    // only what the unit itself has begun to say: after noise or another unit's words its answer may still come
    hasHeardEnough: () => waste.checksumWrong || candidate.length >= SHORTEST,
    close() {
      wasteAll()
      const frames = waste.bytes > 0 ? [waste.asDiscard('torn')] : []
      ask(undefined)
      return frames
    },
  }
}

const NOTHING: Heard = { frames: [], end: undefined }

type Seen = Frame | 'incomplete' | 'other' | 'checksum-wrong' | 'echo'

/** What the bytes at hand are: the answer or a refusal, its beginning, or neither. */
const look = (bytes: readonly number[], { by, request }: RegisterQuestion): Seen => {
  const [unit, code, third] = bytes
  if (unit === undefined) return 'incomplete'
  if (unit !== request.address) return 'other'
  if (code === undefined) return 'incomplete'
  const isException = code === (functionOf(request) | 0x80)
  if (!isException && code !== functionOf(request)) return 'other'
  if (third === undefined) return 'incomplete'
  if (!isException && third !== 2 * request.count) return 'other'
  const length = isException ? SHORTEST : SHORTEST + third
  if (bytes.length < length) return 'incomplete'
  if (crc16(bytes) !== 0) return 'checksum-wrong'
  if (!isException)
    return { kind: 'registers', by, table: request.table, start: request.start, words: wordsOf(bytes, third) }
  const [why, sample] = explainException(unit, third)
  return { kind: 'discarded', why, bytes: length, sample }
}

const wordsOf = (bytes: readonly number[], byteCount: number): number[] =>
  Array.from({ length: byteCount / 2 }, (_, i) => ((bytes[3 + 2 * i] ?? 0) << 8) | (bytes[4 + 2 * i] ?? 0))

/** Bytes that are no answer: counted all, remembered up to a bound. */
const nothingHeard = () => {
  const first: number[] = []
  let bytes = 0
  return {
    first,
    checksumWrong: false,
    get bytes() {
      return bytes
    },
    add(byte: number) {
      bytes += 1
      if (first.length < MOST_REMEMBERED) first.push(byte)
    },
    /** Do they begin with a whole frame of anybody? */
    isWhole: () => wholeFrame(first),
    asDiscard: (why: DiscardReason): Discarded => ({ ...discard(why, first), bytes }),
  }
}

type Waste = ReturnType<typeof nothingHeard>

const wholeFrame = (bytes: readonly number[]): boolean => {
  let crc = START
  return bytes.some((byte, i) => {
    crc = crc16Next(crc, byte)
    return crc === 0 && i + 1 >= SHORTEST
  })
}

const beforeAnswer = (waste: Waste, request: ReadRequest): DiscardReason =>
  whyNoAnswer(waste, request) === 'other-unit' ? 'other-unit' : 'noise'

const whyNoAnswer = (waste: Waste, request: ReadRequest): DiscardReason => {
  if (waste.isWhole()) return waste.first[0] === request.address ? 'unexpected-answer' : 'other-unit'
  if (waste.checksumWrong) return 'checksum-wrong'
  return waste.first[0] === request.address ? 'torn' : 'noise'
}

const discard = (why: DiscardReason, bytes: readonly number[], sample = hex(bytes)): Discarded => ({
  kind: 'discarded',
  why,
  bytes: bytes.length,
  sample,
})

const hex = (bytes: readonly number[]): string =>
  bytes
    .slice(0, SAMPLE_BYTES)
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join(' ')
