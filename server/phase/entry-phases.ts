import type { Phase, PhaseKind, Turn } from './phase.ts'

export interface PhaseLimits {
  readonly firstS: number
  /** End of the record: the last reading, or now while the batch is live. */
  readonly lastS: number
  /** When the fluid was discarded; nothing after it belongs to the batch. */
  readonly discardedS?: number
  readonly drawnUpS: readonly number[]
  /** What the record begins in, when its first turn shows it had begun before. */
  readonly beginsIn?: 'rise' | 'decay'
}

const follows: Record<Turn['kind'], PhaseKind> = {
  'ozone-on': 'rise',
  'ozone-off': 'purge',
  'flow-off': 'decay',
}

/** A gas interruption shorter than this is a note inside the rise. */
export const SHORT_INTERRUPTION_S = 60

/** Phases between turns, in order. Turns must be sorted. An empty phase (ozone-off and flow-off together) is left out. */
export const phasesBetween = (turns: readonly Turn[], limits: PhaseLimits): Phase[] => {
  const end = limits.discardedS ?? limits.lastS
  const { kept, notes } = withoutInterruptions(turns)
  const phases: Phase[] = []
  const opening =
    limits.beginsIn ?? (kept[0] !== undefined && kept[0].kind !== 'ozone-on' ? 'rise' : undefined)
  const starts = [
    ...(opening === undefined
      ? []
      : [{ kind: opening, atS: limits.firstS, by: 'signal' as const, startSeen: false }]),
    ...kept.map((t) => ({
      ...{ kind: follows[t.kind], atS: t.atS, by: t.by, startSeen: true },
      ...(t.by === 'signal' && t.uncertainS !== undefined ? { startWithinS: t.uncertainS } : {}),
    })),
  ]
  starts.forEach((s, i) => {
    const next = starts[i + 1]?.atS
    const endS = Math.min(next ?? end, end)
    if (!(endS > s.atS)) return
    phases.push({
      kind: s.kind,
      startS: s.atS,
      endS,
      foundBy: s.by,
      startSeen: s.startSeen,
      ...('startWithinS' in s ? { startWithinS: s.startWithinS } : {}),
      // a turn entered for this very moment, or a moment ahead, has not ended anything yet
      open: (next === undefined || next >= end) && limits.discardedS === undefined,
      drawnUpS: limits.drawnUpS.filter((d) => d > s.atS && d < endS),
      notes: notes.filter((n) => n.atS >= s.atS && n.atS < endS).map((n) => n.words),
    })
  })
  return phases
}

/** Ozone off and on again within a minute is one rise with a note, not two rises and a decay. */
const withoutInterruptions = (turns: readonly Turn[]) => {
  const kept: Turn[] = []
  const notes: { atS: number; words: string }[] = []
  for (let i = 0; i < turns.length; i++) {
    const turn = turns[i] as Turn
    const back = turns.findIndex((t, j) => j > i && t.kind === 'ozone-on')
    const gap = back < 0 ? Number.POSITIVE_INFINITY : (turns[back] as Turn).atS - turn.atS
    const rising = kept.at(-1)?.kind === 'ozone-on'
    if (turn.kind !== 'ozone-on' && rising && gap < SHORT_INTERRUPTION_S) {
      notes.push({ atS: turn.atS, words: `gas interrupted for ${Math.round(gap)} s` })
      i = back
    } else if (!(turn.kind === 'ozone-on' && rising)) kept.push(turn)
  }
  return { kept, notes }
}
