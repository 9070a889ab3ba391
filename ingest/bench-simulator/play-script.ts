import type { SimulatedSample } from './bench-simulator.ts'
import { mustCheck, numberIn } from './checked.ts'
import { createPlayer } from './player.ts'
import { type BenchScript, benchScriptSchema } from './script.ts'
import { SimulatorError } from './simulator-error.ts'

export interface PlayOptions {
  /** The first moment that is no longer sampled. */
  readonly untilS: number
  /** Spacing of samples; 1 s unless said. */
  readonly everyS?: number
}

/**
 * Plays a script from an empty bench as fast as the machine can: samples at 0, everyS, 2·everyS, … < untilS. An event
 * at the same moment as a sample comes first. Throws on a faulty script and on an action that the bench refuses.
 */
export function* playScript(
  script: BenchScript,
  { untilS, everyS = 1 }: PlayOptions,
): Generator<SimulatedSample> {
  const spacingS = mustCheck(numberIn(0.001, 86_400, 's'), everyS, 'everyS')
  const player = createPlayer(mustCheck(benchScriptSchema, script, 'script'), ({ atS, action }, why) => {
    throw new SimulatorError('refused-action', [`${action.do} at ${atS} s: ${why}`])
  })
  for (let index = 0; index * spacingS < untilS; index++) yield player.sampleAt(index * spacingS)
}
