import type { RegisterTable } from './modbus-request.ts'

/**
 * A piece of the byte stream: one whole line, the registers of one answer, or bytes that are neither, with the
 * reason. Nothing vanishes. `by` is the instrument whose question this answers; a meter that speaks by itself has none.
 */
export type Frame = LineFrame | RegisterFrame | Discarded

export interface LineFrame {
  readonly kind: 'line'
  readonly text: string
  readonly by?: string
}

export interface RegisterFrame {
  readonly kind: 'registers'
  readonly by: string
  readonly table: RegisterTable
  /** Wire address of the first word, counted from 0. */
  readonly start: number
  readonly words: readonly number[]
}

export interface Discarded {
  readonly kind: 'discarded'
  readonly why: DiscardReason
  readonly bytes: number
  readonly sample: string
}

export type DiscardReason =
  /** longer than the stated bound; the bytes up to the bound */
  | 'too-long'
  /** what followed in the same over-long line, up to its delimiter */
  | 'rest-of-too-long'
  /** what came before the first delimiter after opening: the line may have begun before we listened */
  | 'before-first-delimiter'
  /** an unfinished line or answer when the port closed or time ran out */
  | 'torn'
  /** bytes that are not printable text */
  | 'not-text'
  | 'checksum-missing'
  | 'checksum-wrong'
  /** a proper line, but no instrument of this port expects it */
  | 'unexpected-line'
  | 'wrong-field-count'
  | 'unreadable-number'
  | 'missing-key'
  | 'repeated-key'
  /** a question that got not one byte in its time */
  | 'no-answer'
  /** an answer that came after its time was over: it may be to an earlier question, and is not used */
  | 'late-answer'
  /** a whole answer of another unit than the one asked */
  | 'other-unit'
  /** a whole answer of the unit asked, but not to what was asked */
  | 'unexpected-answer'
  /** our own question, heard back from a two-wire line */
  | 'own-echo'
  /** bytes around answers that are no answer */
  | 'noise'
  | 'exception-function'
  | 'exception-address'
  | 'exception-value'
  | 'exception-device-failure'
  | 'exception-busy'
  | 'exception-gateway'
  | 'exception-other'

/** Turns chunks into lines. The same bytes give the same frames however they are cut. */
export interface Framer {
  push(chunk: Uint8Array): (LineFrame | Discarded)[]
  /** Has a line begun that has not ended? */
  isWithinLine(): boolean
  /** The port closed: an unfinished line is given up, and the next bytes start unsynchronised again. */
  close(): Discarded[]
}
