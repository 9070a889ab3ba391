import { describe, expect, it } from 'vitest'
import { createAsking } from '../../../ingest/frame/asking.ts'
import type { Conversation, Turn } from '../../../ingest/frame/conversation.ts'
import { createLineAnswers } from '../../../ingest/frame/line-answer.ts'
import { createLineFramer } from '../../../ingest/frame/line-framer.ts'
import { createModbusFramer } from '../../../ingest/frame/modbus-framer.ts'
import { modbusQuestions, type PolledUnit } from '../../../ingest/frame/modbus-questions.ts'
import { answer, refusal } from '../../support/modbus-bytes.ts'

const TIMEOUT_MS = 1000
const unit = (address: number, starts: readonly number[] = [0]): PolledUnit => ({
  by: `meter-${address}`,
  address,
  everyMs: 1000,
  wanted: starts.map((start) => ({ table: 'holding', start, count: 2 })),
})

interface Sent {
  readonly atMs: number
  readonly bytes: Buffer
}

/** A line on which time is told by hand; `reply` says what comes back to each question, and after how long. */
const playOn = (
  conversation: Conversation,
  reply: (sent: Sent, number: number) => { readonly afterMs: number; readonly bytes: Uint8Array } | undefined,
  untilMs: number,
) => {
  const sent: Sent[] = []
  const heard: { readonly atMs: number; readonly what: string }[] = []
  const onTheWay: { atMs: number; bytes: Uint8Array }[] = []
  let wakeAtMs: number | undefined
  const take = (turn: Turn, nowMs: number) => {
    for (const frame of turn.frames)
      heard.push({ atMs: nowMs, what: frame.kind === 'discarded' ? frame.why : `${frame.by} ${frame.kind}` })
    wakeAtMs = turn.wakeAtMs
    if (!turn.send) return
    const question = { atMs: nowMs, bytes: Buffer.from(turn.send) }
    sent.push(question)
    const back = reply(question, sent.length)
    if (back) onTheWay.push({ atMs: nowMs + back.afterMs, bytes: back.bytes })
  }
  take(conversation.wake(0), 0)
  for (;;) {
    onTheWay.sort((a, b) => a.atMs - b.atMs)
    const nextByte = onTheWay[0]?.atMs ?? Number.POSITIVE_INFINITY
    const nowMs = Math.min(nextByte, wakeAtMs ?? Number.POSITIVE_INFINITY)
    if (nowMs > untilMs) return { sent, heard, whats: heard.map((h) => h.what) }
    if (nowMs === nextByte) take(conversation.push(onTheWay.shift()?.bytes ?? Buffer.alloc(0), nowMs), nowMs)
    else take(conversation.wake(nowMs), nowMs)
  }
}

const modbus = (units: readonly PolledUnit[], retries = 1) =>
  createAsking(modbusQuestions(units, { timeoutMs: TIMEOUT_MS, retries }), createModbusFramer())

const goodAnswer = ({ bytes }: Sent) => answer(bytes[0] ?? 0, 3, [0, bytes.readUInt16BE(2)])

describe('asking', () => {
  it('keeps the beat of the interval however long answers take', () => {
    const { sent, whats } = playOn(modbus([unit(1)]), (q) => ({ afterMs: 300, bytes: goodAnswer(q) }), 10_000)
    expect(sent.map((s) => s.atMs)).toEqual([200, 1200, 2200, 3200, 4200, 5200, 6200, 7200, 8200, 9200])
    expect(new Set(whats)).toEqual(new Set(['meter-1 registers']))
  })

  it('asks neighbouring registers at once and never a register that nobody wants', () => {
    const questions = modbusQuestions(
      [
        {
          ...unit(1, [0, 2, 4, 10]),
          wanted: [...unit(1, [4, 0, 10, 2]).wanted, { table: 'input', start: 6, count: 1 }],
        },
      ],
      { timeoutMs: 1000, retries: 0 },
    )
    expect(questions.map((q) => q.about.request)).toEqual([
      { address: 1, table: 'holding', start: 0, count: 6 },
      { address: 1, table: 'holding', start: 10, count: 2 },
      { address: 1, table: 'input', start: 6, count: 1 },
    ])
  })

  it('asks no more registers at once than the standard allows', () => {
    const starts = Array.from({ length: 100 }, (_, i) => 2 * i)
    const counts = modbusQuestions([unit(1, starts)], { timeoutMs: 1000, retries: 0 }).map(
      (q) => q.about.request.count,
    )
    // 125 by the Modbus application protocol V1.1b3, 6.3; pairs are never torn apart
    expect(counts).toEqual([124, 76])
  })

  it('tries again after a time-out and says each time that there was no answer', () => {
    const { sent, whats } = playOn(
      modbus([unit(1)], 2),
      (q, n) => (n < 3 ? undefined : { afterMs: 50, bytes: goodAnswer(q) }),
      4300,
    )
    expect(whats).toEqual(['no-answer', 'no-answer', 'meter-1 registers'])
    // a time-out, and as long again for an answer that is only late
    expect(sent.map((s) => s.atMs)).toEqual([200, 2200, 4200])
  })

  it('tries a damaged answer again at once, without waiting for the rest of the time', () => {
    const { sent, whats } = playOn(
      modbus([unit(1)]),
      (q, n) => {
        const bytes = goodAnswer(q)
        if (n === 1) bytes[4]! ^= 0x10
        return { afterMs: 50, bytes }
      },
      900,
    )
    expect(whats).toEqual(['checksum-wrong', 'meter-1 registers'])
    expect(sent).toHaveLength(2)
  })

  it('takes a refusal for an answer: the unit is there, and asked again on the beat', () => {
    const { sent, whats } = playOn(
      modbus([unit(1)], 3),
      () => ({ afterMs: 20, bytes: refusal(1, 3, 2) }),
      3000,
    )
    expect(whats).toEqual(['exception-address', 'exception-address', 'exception-address'])
    expect(sent.map((s) => s.atMs)).toEqual([200, 1200, 2200])
  })

  it.each([1700, 4500])(
    'never takes an answer that comes after %s ms for the answer to another question that looks alike',
    (afterMs) => {
      // two blocks of one unit and the same length; every answer comes after its time is over
      const { heard } = playOn(modbus([unit(1, [0, 40])]), (q) => ({ afterMs, bytes: goodAnswer(q) }), 60_000)
      expect(heard.length).toBeGreaterThan(5)
      expect(new Set(heard.map((h) => h.what))).toEqual(new Set(['no-answer', 'late-answer']))
    },
  )

  it('leaves a silent unit aside so that the other one on the line is asked on its beat', () => {
    const { sent, heard } = playOn(
      modbus([unit(1), unit(2)]),
      (q) => (q.bytes[0] === 1 ? undefined : { afterMs: 50, bytes: goodAnswer(q) }),
      60_000,
    )
    const answered = heard.filter((h) => h.what === 'meter-2 registers').map((h) => h.atMs)
    const gaps = answered.slice(1).map((at, i) => at - (answered[i] ?? 0))
    // one time-out at most stands in between, and the pause before the next question
    expect(Math.max(...gaps)).toBeLessThanOrEqual(1000 + TIMEOUT_MS + 10)
    // two tries of 1 s, then five time-outs apart: under a third of the beats are lost
    expect(answered.length).toBeGreaterThan(40)
    expect(sent.filter((s) => s.bytes[0] === 1).length, 'it is still asked').toBeGreaterThan(10)
  })

  it('asks anew after the port was closed, and drops what was awaited before', () => {
    const conversation = modbus([unit(1)])
    conversation.wake(0)
    const first = conversation.wake(200)
    expect(first.send).toBeDefined()
    expect(conversation.close()).toEqual([])
    expect(conversation.wake(5000)).toEqual({ frames: [], wakeAtMs: 5200 })
    // what the port still held from before is not the answer to anything
    expect(conversation.push(answer(1, 3, [0, 0]), 5100).frames).toEqual([])
    const again = conversation.wake(5200)
    expect(again.send).toEqual(first.send)
    expect(again.frames).toMatchObject([{ why: 'late-answer' }])
  })
})

const askLines = () => {
  const framer = createLineFramer({ delimiter: '\r\n', maxBytes: 64, checksum: 'none', startsInSync: false })
  const question = (by: string, text: string) => ({
    to: by,
    group: 'line',
    about: { by, text },
    bytes: Buffer.from(text),
    everyMs: 1000,
    timeoutMs: TIMEOUT_MS,
    retries: 1,
    quietMs: TIMEOUT_MS,
  })
  return createAsking([question('a', 'READ 1\r'), question('b', 'READ 2\r')], createLineAnswers(framer))
}
const line = (text: string) => Buffer.from(`${text}\r\n`)

describe('asking for lines', () => {
  it('gives each line to the instrument that was asked', () => {
    const { whats, sent } = playOn(askLines(), (q) => ({ afterMs: 30, bytes: line(String(q.bytes)) }), 2150)
    // the first line after opening may be the tail of one; it is asked for again at once
    expect(whats).toEqual(['before-first-delimiter', 'a line', 'b line', 'a line', 'b line'])
    expect(sent.map((s) => String(s.bytes).trim())).toEqual([
      'READ 1',
      'READ 1',
      'READ 2',
      'READ 1',
      'READ 2',
    ])
  })

  it('counts a question without an answer, and does not use a line that comes too late', () => {
    const { whats } = playOn(
      askLines(),
      (q, n) => ({ afterMs: n === 4 ? 1500 : 30, bytes: line(String(q.bytes)) }),
      4000,
    )
    expect(whats.slice(0, 5)).toEqual([
      'before-first-delimiter',
      'a line',
      'b line',
      'no-answer',
      'late-answer',
    ])
    expect(whats.slice(5)).toContain('a line')
  })

  it('never completes half a line of one answer with the next answer', () => {
    const halves = [line('0.00'), line('0.00'), line('0.00'), Buffer.from('2'), line('3.40'), line('23.40')]
    const { heard, whats } = playOn(
      askLines(),
      (_q, n) => {
        const bytes = halves[n - 1]
        return bytes && { afterMs: 30, bytes }
      },
      5000,
    )
    expect(whats.slice(3, 6)).toEqual(['torn', 'before-first-delimiter', 'b line'])
    expect(heard.length).toBeGreaterThan(5)
  })

  it('takes all lines of an answer that has several', () => {
    const { whats } = playOn(
      askLines(),
      (q) => ({ afterMs: 30, bytes: Buffer.concat([line('echo'), line(String(q.bytes))]) }),
      1150,
    )
    expect(whats).toEqual(['before-first-delimiter', 'a line', 'b line', 'b line'])
  })
})
