import { SAME_TURN_S, type Turn } from './phase.ts'
import type { SignalTurns } from './signal-turns.ts'

/**
 * Turns seen in the fluid and turns seen in the gas. What the gas shows of a turn is sharp and comes first; what the
 * fluid shows of it stands where no instrument on the gas saw the like.
 */
export const mergeTurns = (fluid: SignalTurns, gas: readonly Turn[]): SignalTurns => {
  if (gas.length === 0) return fluid
  const own = fluid.turns.filter((turn) => !gas.some((g) => isNear(g, turn) && tellsOf(g, turn)))
  const turns = [...gas, ...own.map((turn) => notBefore(turn, gas))]
  return { ...fluid, turns: turns.sort((a, b) => a.atS - b.atS || rankOf(a) - rankOf(b)) }
}

/** Gas that no longer flows has told of the end of the ozone as well. */
const tellsOf = (gas: Turn, turn: Turn): boolean =>
  gas.kind === turn.kind || (gas.kind === 'flow-off' && turn.kind === 'ozone-off' && turn.atS >= gas.atS)

const isNear = (a: Turn, b: Turn): boolean => Math.abs(a.atS - b.atS) < SAME_TURN_S

/** The fluid seems to turn a little before the gas was shut: then it turned with it. */
const notBefore = (turn: Turn, gas: readonly Turn[]): Turn => {
  const shut = gas.find((g) => g.kind === 'ozone-off' && isNear(g, turn))
  return turn.kind === 'flow-off' && shut !== undefined && turn.atS < shut.atS
    ? { ...turn, atS: shut.atS }
    : turn
}

/** At one moment, ozone ends before the flow does. */
export const rankOf = (turn: Turn): number => ['ozone-on', 'ozone-off', 'flow-off'].indexOf(turn.kind)
