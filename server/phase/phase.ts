export type PhaseKind = 'rise' | 'purge' | 'decay'

/**
 * A stretch of a batch: `rise` while ozone bubbles, `purge` while oxygen alone flows through, `decay` while it stands.
 * Seconds since the start of the batch; start inclusive, end exclusive.
 */
export interface Phase {
  readonly kind: PhaseKind
  readonly startS: number
  readonly endS: number
  readonly foundBy: 'entry' | 'signal'
  /** False when the record begins inside the phase, so that its true start is unknown. */
  readonly startSeen: boolean
  /** Half of the 95 % interval of a start that was read from the signal, s. */
  readonly startWithinS?: number
  /** True when nothing has ended the phase yet: the record, not the phase, ends at `endS`. */
  readonly open: boolean
  /** Draw-ups inside the phase. */
  readonly drawnUpS: readonly number[]
  readonly notes: readonly string[]
}

/** The moments that change a phase. The person's entries and the signal's own guesses have the same form. */
export interface Turn {
  readonly kind: 'ozone-on' | 'ozone-off' | 'flow-off'
  readonly atS: number
  readonly by: 'entry' | 'signal'
  /** How far a turn read from the signal may be off, s. A slow turn in a noisy signal is vague. */
  readonly uncertainS?: number
}

/** A change in the signal that no entry explains, or that an entry puts elsewhere. To be offered, never applied. */
export interface Disagreement {
  readonly kind: Turn['kind']
  readonly signalS: number
  /** Absent when nobody entered it. */
  readonly enteredS?: number
}

/** An entry, or a turn seen elsewhere, this near stands for a turn of the signal; further away it is another event. */
export const SAME_TURN_S = 240
