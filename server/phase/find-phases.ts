import { hasGap } from '../fit/linear-algebra.ts'
import { phasesBetween } from './entry-phases.ts'
import { type GasTracks, gasTurns } from './gas-turns.ts'
import { mergeTurns, rankOf } from './merge-turns.ts'
import { type Disagreement, type Phase, SAME_TURN_S, type Turn } from './phase.ts'
import { SignalMemory } from './signal-memory.ts'
import type { SignalTurns } from './signal-turns.ts'

export interface PhaseSamples {
  readonly timesS: Float64Array
  /** mg/L; NaN where there is no number. */
  readonly values: Float64Array
}

export interface PhaseEvent {
  readonly kind: string
  readonly atS: number
}

export interface PhaseOptions {
  /** Seconds since the start; the record is taken to run up to here. */
  readonly nowS: number
  /** False in spot mode: a handful of readings shows no turns of its own. */
  readonly useSignal?: boolean
  /** Time constant of the probe: what the signal shows of a turn comes that much later. */
  readonly probeLagS?: number
  /** What instruments on the gas show of the turns. */
  readonly gas?: GasTracks
  /** Keeps the turns of the signal from look to look; the samples must then all have numbers. */
  readonly memory?: SignalMemory
}

export interface FoundPhases {
  readonly phases: readonly Phase[]
  readonly disagreements: readonly Disagreement[]
}

/** An entry and the signal closer than this agree: gloved hands press late. */
const AGREE_S = 20

/**
 * Phases of a batch from the entries people made and from the signal itself. An entry wins over a guess and the
 * difference is reported; a turn nobody entered is taken from the signal. Works on a finished record and on a live one.
 */
export const findPhases = (
  samples: PhaseSamples,
  events: readonly PhaseEvent[],
  options: PhaseOptions,
): FoundPhases => {
  const { timesS, values } = options.memory === undefined ? withNumbers(samples) : samples
  const entered = turnsEntered(events)
  const { memory = new SignalMemory() } = options
  const seen =
    options.useSignal === false ? { turns: [] } : withoutLag(memory.turns(timesS, values), options.probeLagS)
  const guess = mergeTurns(seen, options.gas ? gasTurns(options.gas) : [])
  const matched = guess.turns.map((turn) => ({ turn, entry: nearest(entered, turn) }))
  const missing = matched.filter((m) => m.entry === undefined).map((m) => m.turn)
  const added = missing.filter((turn) => fits(turn, entered))
  const turns = [...entered, ...added].sort((a, b) => a.atS - b.atS || rankOf(a) - rankOf(b))
  const beginsIn = opening(guess.beginsIn, turns, timesS[0])
  const discardedS = events.find((e) => e.kind === 'discarded')?.atS
  const phases = phasesBetween(turns, {
    firstS: timesS[0] ?? 0,
    lastS: Math.max(options.nowS, timesS.at(-1) ?? 0),
    ...(discardedS === undefined ? {} : { discardedS }),
    drawnUpS: events.filter((e) => e.kind === 'drawn-up').map((e) => e.atS),
    ...(beginsIn === undefined ? {} : { beginsIn }),
  })
  return { phases, disagreements: entered.length === 0 ? [] : disagreementsOf(matched, options) }
}

/** Behind a slow probe the fall is seen its time constant late, once the probe's own transient is over. */
const withoutLag = (guess: SignalTurns, lagS = 0): SignalTurns => ({
  ...guess,
  turns: guess.turns.map((turn) => (turn.kind === 'ozone-on' ? turn : { ...turn, atS: turn.atS - lagS })),
})

const withNumbers = ({ timesS, values }: PhaseSamples) => {
  if (!hasGap(values)) return { timesS, values }
  const has = (_: number, i: number) => !Number.isNaN(values[i])
  return { timesS: timesS.filter(has), values: values.filter(has) }
}

const isTurn = (kind: string): kind is Turn['kind'] =>
  kind === 'ozone-on' || kind === 'ozone-off' || kind === 'flow-off'

const turnsEntered = (events: readonly PhaseEvent[]): Turn[] =>
  events
    .flatMap((e) => (isTurn(e.kind) ? [{ kind: e.kind, atS: e.atS, by: 'entry' as const }] : []))
    .sort((a, b) => a.atS - b.atS || rankOf(a) - rankOf(b))

const nearest = (entered: readonly Turn[], turn: Turn): Turn | undefined =>
  entered
    .filter((e) => e.kind === turn.kind && Math.abs(e.atS - turn.atS) < SAME_TURN_S)
    .sort((a, b) => Math.abs(a.atS - turn.atS) - Math.abs(b.atS - turn.atS))[0]

/** A guessed turn is used where no entry says otherwise: it must change the state the entries leave it in. */
const fits = (turn: Turn, entered: readonly Turn[]): boolean => {
  if (entered.length === 0) return true
  const before = entered.filter((e) => e.atS <= turn.atS).at(-1)?.kind
  const after = entered.find((e) => e.atS > turn.atS)?.kind
  switch (turn.kind) {
    case 'ozone-on':
      return before !== 'ozone-on' && before !== 'ozone-off' && after !== 'ozone-on'
    case 'ozone-off':
      return (before === 'ozone-on' || before === undefined) && after !== 'ozone-off' && after !== 'flow-off'
    case 'flow-off':
      return before !== 'flow-off' && before !== undefined && after !== 'flow-off' && after !== 'ozone-off'
    default:
      return turn.kind satisfies never
  }
}

/** The signal says the record begins inside a phase, unless an entry shows when that phase began. */
const opening = (
  guess: 'rise' | 'decay' | undefined,
  turns: readonly Turn[],
  firstS: number | undefined,
): 'rise' | 'decay' | undefined => {
  const first = turns[0]
  if (guess === undefined || firstS === undefined) return undefined
  if (first === undefined) return guess
  if (guess === 'rise')
    return first.kind === 'ozone-on' && first.atS < firstS + SAME_TURN_S ? undefined : 'rise'
  return first.kind === 'ozone-on' ? 'decay' : undefined
}

const disagreementsOf = (
  matched: readonly { turn: Turn; entry: Turn | undefined }[],
  { probeLagS }: PhaseOptions,
): Disagreement[] =>
  matched
    .filter(({ turn, entry }) => {
      const allowed = AGREE_S + 2 * (probeLagS ?? 0) + (turn.uncertainS ?? 0)
      return entry === undefined || Math.abs(entry.atS - turn.atS) > allowed
    })
    .map(({ turn, entry }) => ({
      kind: turn.kind,
      signalS: turn.atS,
      ...(entry === undefined ? {} : { enteredS: entry.atS }),
    }))
