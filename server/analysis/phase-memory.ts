import { lowerBound } from '../phase/lower-bound.ts'
import type { Phase } from '../phase/phase.ts'
import type { BatchContext } from './batch-context.ts'
import { analyseDecay, type DecayResult } from './decay-report.ts'
import type { AnalysisInput } from './input.ts'
import { analyseRise, type RiseResult } from './rise-report.ts'
import { sameValues } from './same-values.ts'

/** How the phases of a batch are fitted: afresh each time, or with the finished ones kept. */
export interface PhaseAnalysis {
  readonly rise: (context: BatchContext, phase: Phase) => RiseResult
  readonly decay: (context: BatchContext, phase: Phase, lagSuspected: boolean) => DecayResult
}

export const afresh: PhaseAnalysis = { rise: analyseRise, decay: analyseDecay }

/**
 * Keeps the result of each finished phase and gives it again while everything it was made from is the same, compared
 * value by value: a late reading, a correction or a moved entry fits the phase anew. Only for phases that another follows:
 * the last one is read past its end, where the thermometer goes on.
 */
export const remembering = (): PhaseAnalysis => {
  const rises = keeper<RiseResult>()
  const decays = keeper<DecayResult>()
  return {
    rise: (context, phase) => rises(context, phase, '', (own) => analyseRise(own, phase)),
    decay: (context, phase, lagSuspected) =>
      decays(context, phase, String(lagSuspected), (own) => analyseDecay(own, phase, lagSuspected)),
  }
}

/** A batch is bubbled a few times at most; more than this many finished phases of a kind are fitted again each time. */
const MOST_KEPT = 8

const keeper = <R>() => {
  let kept: { readonly made: MadeFrom; readonly result: R }[] = []
  return (context: BatchContext, phase: Phase, extra: string, analyse: (own: BatchContext) => R): R => {
    const settings = settingsOf(context, phase, extra)
    const found = kept.find(({ made }) => made.settings === settings && isMadeFrom(made, context, phase))
    if (found !== undefined) return found.result
    const result = analyse(withOwnTemperature(context))
    const others = kept.filter(({ made }) => made.startS !== phase.startS)
    kept = [...others, { made: madeFrom(context, phase, settings), result }].slice(-MOST_KEPT)
    return result
  }
}

/** Everything the result of a phase depends on. Copies: the caller's buffers grow and move. */
interface MadeFrom {
  readonly startS: number
  readonly settings: string
  readonly first: number
  readonly timesS: Float64Array
  readonly values: Float64Array
  readonly aside: Uint8Array
  readonly temperature: { readonly timesS: Float64Array; readonly celsius: Float64Array }
}

const settingsOf = ({ input, readings }: BatchContext, phase: Phase, extra: string): string => {
  const { startUs, probeLag, readingUPercent, noiseHistory, history } = input
  const { fullScale } = readings
  // the thermometer must reach as far as the meter does
  const reaches = Math.min(phase.endS, input.timesS.at(-1) ?? 0)
  const known = [startUs, probeLag, readingUPercent, noiseHistory, history?.halfLife20cMin]
  return JSON.stringify([...known, fullScale, phase, reaches, extra])
}

/** A warmed decay goes on reading its temperatures after the fit: from a copy, as the caller's buffers move. */
const withOwnTemperature = (context: BatchContext): BatchContext => {
  const { temperature } = context.input
  if (temperature === undefined) return context
  const own = { timesS: temperature.timesS.slice(), celsius: temperature.celsius.slice() }
  return { ...context, input: { ...context.input, temperature: own } }
}

const madeFrom = (context: BatchContext, phase: Phase, settings: string): MadeFrom => {
  const part = partOf(context, phase)
  return {
    startS: phase.startS,
    settings,
    first: part.first,
    timesS: part.timesS.slice(),
    values: part.values.slice(),
    aside: part.aside.slice(),
    temperature: {
      timesS: part.temperature.timesS.slice(),
      celsius: part.temperature.celsius.slice(),
    },
  }
}

const isMadeFrom = (made: MadeFrom, context: BatchContext, phase: Phase): boolean => {
  const part = partOf(context, phase)
  return (
    made.first === part.first &&
    sameValues(made.timesS, part.timesS) &&
    sameValues(made.values, part.values) &&
    sameValues(made.aside, part.aside) &&
    sameValues(made.temperature.timesS, part.temperature.timesS) &&
    sameValues(made.temperature.celsius, part.temperature.celsius)
  )
}

/** The thermometer is looked for this far outside a phase, and read between the two readings about each end. */
const THERMOMETER_REACH_S = 600

/**
 * The clock of a warming decay has its last knot this far past the phase at most (`warped-clock.ts`): once the thermometer
 * has spoken after that, what it says later is of no matter to the phase.
 */
const lastKnotS = (phase: Phase): number => phase.endS + Math.max(15, (phase.endS - phase.startS) / 400) + 1

const partOf = ({ input, readings }: BatchContext, phase: Phase) => {
  const first = lowerBound(readings.timesS, phase.startS)
  const end = lowerBound(readings.timesS, phase.endS)
  return {
    first,
    timesS: readings.timesS.subarray(first, end),
    values: readings.values.subarray(first, end),
    aside: readings.aside.subarray(first, end),
    temperature: temperatureAbout(input, phase),
  }
}

const NONE = new Float64Array(0)

const temperatureAbout = ({ temperature }: AnalysisInput, phase: Phase) => {
  if (temperature === undefined) return { timesS: NONE, celsius: NONE }
  const from = Math.max(0, lowerBound(temperature.timesS, phase.startS - THERMOMETER_REACH_S) - 1)
  const spoken = lowerBound(temperature.timesS, lastKnotS(phase)) + 1
  const to = Math.min(spoken, lowerBound(temperature.timesS, phase.endS + THERMOMETER_REACH_S) + 1)
  return {
    timesS: temperature.timesS.subarray(from, to),
    celsius: temperature.celsius.subarray(from, to),
  }
}
