import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Frame } from '../../../ingest/frame/frame.ts'
import { createModbusFramer, type RegisterQuestion } from '../../../ingest/frame/modbus-framer.ts'
import { requestBytes } from '../../../ingest/frame/modbus-request.ts'
import { answer, refusal, sealed } from '../../support/modbus-bytes.ts'
import { splitAt } from '../../support/split.ts'

const QUESTION: RegisterQuestion = {
  by: 'meter-a',
  request: { address: 1, table: 'holding', start: 0x10, count: 2 },
}
/** 23.4 as float32: 41 BB 33 33. */
const GOOD = answer(1, 3, [0x41bb, 0x3333])
const READ: Frame = {
  kind: 'registers',
  by: 'meter-a',
  table: 'holding',
  start: 0x10,
  words: [0x41bb, 0x3333],
}

/** Everything that comes of one question and these chunks, time running out at the end. */
const framesOf = (chunks: readonly Uint8Array[], question = QUESTION): Frame[] => {
  const framer = createModbusFramer()
  framer.expect(question)
  const frames = chunks.flatMap((chunk) => framer.push(chunk).frames)
  return [...frames, ...framer.giveUp(), ...framer.close()]
}
const whysOf = (frames: readonly Frame[]) => frames.map((f) => (f.kind === 'discarded' ? f.why : f.kind))

describe('the Modbus framer', () => {
  it('reads a published answer: 01 03 04 41 BB 33 33 with CRC CA CF', () => {
    expect(framesOf([Buffer.from('01030441BB3333CACF', 'hex')])).toEqual([READ])
  })

  it('reads an answer that comes a byte at a time', () => {
    expect(framesOf([...GOOD].map((byte) => Uint8Array.of(byte)))).toEqual([READ])
  })

  it('gives the same frames however the bytes are split', () => {
    const pieces = fc.array(
      fc.oneof(
        fc.constantFrom(
          GOOD,
          answer(1, 3, [1]),
          answer(1, 4, [1, 2]),
          answer(2, 3, [1, 2]),
          refusal(1, 3, 2),
          Buffer.from(requestBytes(QUESTION.request)),
          GOOD.subarray(0, 5),
        ),
        fc.uint8Array({ maxLength: 12 }),
      ),
      { maxLength: 6 },
    )
    let answered = 0
    fc.assert(
      fc.property(pieces, fc.array(fc.nat(9), { maxLength: 30 }), (parts, cuts) => {
        const all = Buffer.concat(parts)
        const whole = framesOf([all])
        if (whole.some((f) => f.kind === 'registers')) answered += 1
        expect(framesOf(splitAt(all, cuts))).toEqual(whole)
      }),
      { numRuns: 300 },
    )
    expect(answered, 'the property is about answers too').toBeGreaterThan(10)
  })

  it('never reads an answer with one flipped bit', () => {
    for (let bit = 0; bit < GOOD.length * 8; bit++) {
      const flipped = Buffer.from(GOOD)
      flipped[bit >> 3]! ^= 1 << (bit & 7)
      const frames = framesOf([flipped])
      expect(whysOf(frames), `bit ${bit}`).not.toContain('registers')
      expect(frames.length, 'and says so').toBeGreaterThan(0)
    }
  })

  it('never reads any registers with one flipped bit, whatever they hold', () => {
    fc.assert(
      fc.property(
        fc.array(fc.nat(0xffff), { minLength: 2, maxLength: 2 }),
        fc.nat(GOOD.length * 8 - 1),
        (words, bit) => {
          const bytes = answer(1, 3, words)
          bytes[bit >> 3]! ^= 1 << (bit & 7)
          expect(whysOf(framesOf([bytes]))).not.toContain('registers')
        },
      ),
    )
  })

  it('finds the answer behind noise and accounts for the noise', () => {
    expect(framesOf([Buffer.from([0xff, 0x00, 0x01]), GOOD])).toEqual([
      { kind: 'discarded', why: 'noise', bytes: 3, sample: 'ff 00 01' },
      READ,
    ])
  })

  it('knows its own question when a two-wire line gives it back', () => {
    expect(whysOf(framesOf([requestBytes(QUESTION.request), GOOD]))).toEqual(['own-echo', 'registers'])
    expect(whysOf(framesOf([requestBytes(QUESTION.request)]))).toEqual(['own-echo', 'no-answer'])
  })

  it.each([
    ['no-answer', Buffer.alloc(0)],
    ['torn', GOOD.subarray(0, 6)],
    ['checksum-wrong', Buffer.from('01030441BB3333CACE', 'hex')],
    ['other-unit', answer(2, 3, [0x41bb, 0x3333])],
    ['unexpected-answer', answer(1, 3, [0x41bb])],
    ['unexpected-answer', answer(1, 4, [0x41bb, 0x3333])],
    ['noise', Buffer.from('OK\r\n')],
  ])('says of a question without a usable answer why: %s', (why, bytes) => {
    const [frame, ...more] = framesOf([bytes])
    expect(more).toEqual([])
    expect(frame).toMatchObject({ kind: 'discarded', why, bytes: bytes.length })
  })

  it.each([
    // codes by the Modbus application protocol V1.1b3, 7
    [1, 'exception-function', 'does not know this kind of request'],
    [2, 'exception-address', 'has no such register'],
    [3, 'exception-value', 'does not allow this many registers'],
    [4, 'exception-device-failure', 'has failed'],
    [6, 'exception-busy', 'busy'],
    [11, 'exception-gateway', 'got no answer'],
    [77, 'exception-other', 'does not name'],
  ])('puts exception %s into plain words', (code, why, words) => {
    const [frame] = framesOf([refusal(1, 3, code)])
    expect(frame).toMatchObject({ why, sample: expect.stringContaining(words) })
    expect(frame).toMatchObject({ sample: expect.stringContaining(`unit 1 refuses`) })
  })

  it('does not take an answer that comes when nothing is awaited', () => {
    const framer = createModbusFramer()
    framer.expect(QUESTION)
    expect(whysOf([...framer.giveUp()])).toEqual(['no-answer'])
    expect(framer.push(GOOD)).toEqual({ frames: [], end: undefined })
    expect(whysOf([...framer.expect(QUESTION)])).toEqual(['late-answer'])
    expect(framer.push(GOOD)).toEqual({ frames: [READ], end: 'answered' })
  })

  it('holds no more of endless rubbish than it needs to say what it was', () => {
    const framer = createModbusFramer()
    framer.expect(QUESTION)
    for (let i = 0; i < 100; i++) framer.push(Buffer.alloc(65_536, 0x01))
    expect(framer.giveUp()).toMatchObject([{ kind: 'discarded', bytes: 6_553_600 }])
  })

  it('can ask for nothing but function 3 and 4', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 247 }),
        fc.constantFrom('holding' as const, 'input' as const),
        fc.nat(0xffff),
        fc.integer({ min: 1, max: 125 }),
        (address, table, start, count) => {
          const bytes = requestBytes({ address, table, start, count })
          const code = table === 'holding' ? 3 : 4
          expect(Buffer.from(bytes)).toEqual(
            sealed(address, code, start >> 8, start & 0xff, count >> 8, count & 0xff),
          )
        },
      ),
    )
  })
})
