import type { Frame } from './frame.ts'

/**
 * `answered`: what was asked for is here. `refused`: the unit said why not. `bad`: what came cannot be used.
 * Undefined: not over yet.
 */
export type AnswerEnd = 'answered' | 'refused' | 'bad' | undefined

export interface Heard {
  readonly frames: readonly Frame[]
  readonly end: AnswerEnd
}

/** Finds the answer in the bytes that follow a question. The same bytes give the same frames however they are cut. */
export interface AnswerFramer<Question> {
  /** A question is on its way; what lay unread before cannot be its answer. */
  expect(question: Question): readonly Frame[]
  push(chunk: Uint8Array): Heard
  /** Time is over. One discard at least: why there is no answer. */
  giveUp(): readonly Frame[]
  /** Enough has come for an answer, so that a line that falls quiet now will not complete it. */
  hasHeardEnough(): boolean
  /** The port closed. */
  close(): readonly Frame[]
}
