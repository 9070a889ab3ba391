import { at } from '../fit/linear-algebra.ts'
import type { Turn } from './phase.ts'
import { settledLevel, type Track } from './settled-level.ts'

/** What instruments on the gas show, on the axis of the batch. */
export interface GasTracks {
  /** Gas ozone before the flask, µg per normal mL. */
  readonly ozone?: Track
  /** Gas flow, mL/min. */
  readonly flow?: Track
}

/** Below these nothing flows: zero errors of analysers and flowmeters. From memory. */
export const LEAST_OZONE_UG_PER_NML = 2
export const LEAST_FLOW_ML_PER_MIN = 10
/** A change that does not last this long is a spike of the instrument, s. */
const LASTS_S = 5
/** The gas on its way from the instrument to the flask, and the instrument's own response, s. From memory. */
const ON_ITS_WAY_S = 5

/** What goes into the fluid. */
type Through = 'ozone' | 'oxygen' | 'nothing'

/**
 * Ozone-on, ozone-off and flow-off as the gas itself shows them: half of its settled level, crossed for five seconds. An
 * instrument that is not there tells nothing: without an analyser no ozone-on or off, without a flowmeter no flow-off. Gas
 * that stops flowing brings no more ozone, whatever stands in the analyser.
 */
export const gasTurns = ({ ozone, flow }: GasTracks): Turn[] => {
  const ozoneSteps = stepsOf(ozone, LEAST_OZONE_UG_PER_NML)
  const flowSteps = stepsOf(flow, LEAST_FLOW_ML_PER_MIN)
  const turns: Turn[] = []
  const moments = [...ozoneSteps, ...flowSteps].sort((a, b) => a.atS - b.atS)
  let before: Through | undefined
  let hadOzone = false
  for (const { atS, uncertainS } of moments) {
    const now = through(stateAt(ozoneSteps, atS), stateAt(flowSteps, atS))
    const tell = (kind: Turn['kind']) => turns.push({ kind, atS, uncertainS, by: 'signal' })
    if (now === 'ozone' && before !== undefined && before !== 'ozone' && ozoneSteps.length > 0)
      tell('ozone-on')
    if (now !== 'ozone' && before === 'ozone' && ozoneSteps.length > 0) tell('ozone-off')
    hadOzone ||= now === 'ozone'
    if (now === 'nothing' && before !== undefined && before !== 'nothing' && hadOzone) tell('flow-off')
    before = now
  }
  return turns
}

const through = (ozone: boolean | undefined, flow: boolean | undefined): Through => {
  if (flow === false) return 'nothing'
  return ozone === false ? 'oxygen' : 'ozone'
}

/** On or off from a moment on. The first step of a track is its first value: no change, only what it was then. */
interface Step {
  readonly atS: number
  readonly on: boolean
  readonly uncertainS: number
}

/** Undefined before the first value, and for a track that is not there. */
const stateAt = (steps: readonly Step[], atS: number): boolean | undefined =>
  steps.findLast((step) => step.atS <= atS)?.on

const stepsOf = (track: Track | undefined, least: number): Step[] => {
  const level = track && settledLevel(track.values, least)
  if (track === undefined || level === undefined) return []
  const { timesS, values } = track
  const steps: Step[] = []
  let lastS = Number.NaN
  let turning: Step | undefined
  for (let i = 0; i < values.length; i++) {
    const value = at(values, i)
    if (Number.isNaN(value)) continue
    const timeS = at(timesS, i)
    const on = value >= level / 2
    if (steps.length === 0) steps.push({ atS: timeS, on, uncertainS: ON_ITS_WAY_S })
    else if (on === steps.at(-1)?.on) turning = undefined
    else if (turning === undefined)
      turning = { atS: (lastS + timeS) / 2, on, uncertainS: (timeS - lastS) / 2 + ON_ITS_WAY_S }
    else if (timeS - turning.atS >= LASTS_S) {
      steps.push(turning)
      turning = undefined
    }
    lastS = timeS
  }
  return steps
}
