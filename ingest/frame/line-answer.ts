import type { AnswerFramer } from './answer-framer.ts'
import type { Discarded, Frame, Framer } from './frame.ts'

/** How a meter that answers only when asked is asked. */
export interface Ask {
  readonly text: string
  readonly timeoutMs: number
  readonly retries: number
}

/** A text that is sent to a meter that answers only when asked. */
export interface LineQuestion {
  readonly by: string
  readonly text: string
}

/**
 * Lines that answer a question. Every line that comes before the next question, or before time is over, is part of
 * the answer; one that comes when nothing is awaited may be to an earlier question and is not used.
 */
export const createLineAnswers = (framer: Framer): AnswerFramer<LineQuestion> => {
  let question: LineQuestion | undefined
  let isAwaited = false
  let bytes = 0

  const answered = (frame: Frame): Frame => {
    if (frame.kind !== 'line') return frame
    if (question === undefined) return lateAnswer(frame.text)
    return { ...frame, by: question.by }
  }

  const cut = (): readonly Frame[] => {
    question = undefined
    isAwaited = false
    bytes = 0
    return framer.close()
  }

  /** Half a line of before must never be completed by an answer. */
  const cutHalfLine = (): readonly Frame[] => (framer.isWithinLine() ? cut() : [])

  return {
    expect(next) {
      const frames = cutHalfLine()
      bytes = 0
      question = next
      isAwaited = true
      return frames
    },
    push(chunk) {
      bytes += chunk.length
      const frames = framer.push(chunk).map(answered)
      const end = isAwaited ? endOf(frames) : undefined
      if (end !== undefined) isAwaited = false
      return { frames, end }
    },
    giveUp() {
      const asked = question
      const isSilent = bytes === 0
      const frames = cutHalfLine()
      question = undefined
      isAwaited = false
      return asked && isSilent ? [...frames, noAnswer(asked)] : frames
    },
    // a text line ends with its delimiter and not with silence
    hasHeardEnough: () => false,
    close: cut,
  }
}

const endOf = (frames: readonly Frame[]) => {
  if (frames.some((frame) => frame.kind === 'line')) return 'answered'
  return frames.length > 0 ? 'bad' : undefined
}

const lateAnswer = (text: string): Discarded => ({
  kind: 'discarded',
  why: 'late-answer',
  bytes: text.length,
  sample: text.slice(0, 60),
})

const noAnswer = ({ by, text }: LineQuestion): Discarded => ({
  kind: 'discarded',
  why: 'no-answer',
  bytes: 0,
  sample: `${by} was asked ${JSON.stringify(text).slice(0, 40)}`,
})
