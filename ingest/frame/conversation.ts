import type { Frame, Framer } from './frame.ts'

/** What follows from bytes or from time passing. */
export interface Turn {
  readonly frames: readonly Frame[]
  readonly send?: Uint8Array | undefined
  /** Wake it at this time of the steady clock, though nothing arrives. */
  readonly wakeAtMs?: number | undefined
}

/** One side of a port: what is heard and, where a meter answers only when asked, what is said. No clock inside. */
export interface Conversation {
  push(chunk: Uint8Array, nowMs: number): Turn
  /** The port has opened, or the time asked for has come. */
  wake(nowMs: number): Turn
  close(): readonly Frame[]
}

/** A meter that speaks by itself. */
export const listenOnly = (framer: Framer): Conversation => ({
  push: (chunk) => ({ frames: framer.push(chunk) }),
  wake: () => ({ frames: [] }),
  close: () => framer.close(),
})
