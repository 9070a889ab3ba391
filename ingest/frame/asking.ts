import type { AnswerEnd, AnswerFramer } from './answer-framer.ts'
import type { Conversation, Turn } from './conversation.ts'
import type { Frame } from './frame.ts'
import { createSchedule, type Question } from './question-schedule.ts'

/** Nothing is asked so soon after opening: what the port still held from before goes by first. */
const SETTLE_MS = 200
/** Between an answer and the next question. At least 3.5 characters of silence are due on a line of Modbus: 4.1 ms at 9600 baud. */
const PAUSE_MS = 10
/** A line that falls quiet this long within an answer will not complete it. Far above the delay of adapters and networks. */
const IDLE_MS = 250

interface Open<About> {
  readonly question: Question<About>
  readonly sentMs: number
  heardMs: number | undefined
}

/**
 * Asks what is due, one question at a time, and hands the bytes that follow to the framer. The whole of it is a state
 * machine: bytes and the time go in, frames and the next question come out.
 */
export const createAsking = <About>(
  questions: readonly Question<About>[],
  framer: AnswerFramer<About>,
  pauseMs = PAUSE_MS,
): Conversation => {
  let schedule: ReturnType<typeof createSchedule<About>> | undefined
  let open: Open<About> | undefined
  let quietUntilMs = Number.NEGATIVE_INFINITY

  const deadline = ({ question, sentMs, heardMs }: Open<About>): number => {
    const timeout = sentMs + question.timeoutMs
    return heardMs !== undefined && framer.hasHeardEnough() ? Math.min(timeout, heardMs + IDLE_MS) : timeout
  }

  const settle = (asked: Open<About>, end: AnswerEnd, nowMs: number) => {
    open = undefined
    quietUntilMs = nowMs + pauseMs
    if (end === 'answered' || end === 'refused') schedule?.settled(asked.question, nowMs)
    else schedule?.failed(asked.question, nowMs, nowMs >= asked.sentMs + asked.question.timeoutMs)
  }

  const giveUpWhenLate = (nowMs: number): readonly Frame[] => {
    if (open === undefined || nowMs < deadline(open)) return []
    const frames = framer.giveUp()
    settle(open, 'bad', nowMs)
    return frames
  }

  /** Asks what is due, unless an answer is awaited; says when to be woken. */
  const next = (frames: readonly Frame[], nowMs: number): Turn => {
    schedule ??= createSchedule(questions, nowMs + SETTLE_MS)
    const question = open === undefined && nowMs >= quietUntilMs ? schedule.due(nowMs) : undefined
    if (question === undefined) {
      const readyAtMs = schedule.readyAtMs()
      if (open) return { frames, wakeAtMs: deadline(open) }
      return { frames, wakeAtMs: readyAtMs === undefined ? undefined : Math.max(readyAtMs, quietUntilMs) }
    }
    const late = framer.expect(question.about)
    open = { question, sentMs: nowMs, heardMs: undefined }
    return { frames: [...frames, ...late], send: question.bytes, wakeAtMs: deadline(open) }
  }

  return {
    push(chunk, nowMs) {
      const late = giveUpWhenLate(nowMs)
      const heard = framer.push(chunk)
      if (open) open.heardMs = nowMs
      if (open && heard.end !== undefined) settle(open, heard.end, nowMs)
      return next([...late, ...heard.frames], nowMs)
    },
    wake: (nowMs) => next(giveUpWhenLate(nowMs), nowMs),
    close() {
      schedule = undefined
      open = undefined
      quietUntilMs = Number.NEGATIVE_INFINITY
      return framer.close()
    },
  }
}
