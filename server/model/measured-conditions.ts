import type { GasReading, GasState } from './gas-concentration.ts'
import { toNormal } from './gas-concentration.ts'

/** What instruments beside the flask measured during a batch; each only where one is wired. */
export interface MeasuredConditions {
  /** Gas ozone while it was on, µg per normal mL (0 °C, 101.325 kPa). */
  readonly gasUgPerNml?: number
  /** Gas flow while it was on, mL/min. */
  readonly flowMlPerMin?: number
  readonly pressureKpa?: number
  readonly ph?: number
  readonly conductivityUsPerCm?: number
}

/** What was recorded by people, where an instrument measured it too. */
export interface Recorded {
  readonly gas?: GasReading
  readonly flowMlPerMin?: number
}

/** A generator's setting and a flowmeter's scale agree with a measurement this well, at best. From memory. */
const GAS_AGREES = 0.1
const FLOW_AGREES = 0.15

/** In words: where what was measured is not what was recorded, or does not go with the fluid. */
export const conditionNotes = (
  fluid: string,
  measured: MeasuredConditions,
  recorded: Recorded,
  ambient: GasState,
): string[] => [
  ...gasNote(measured, recorded, ambient),
  ...flowNote(measured, recorded),
  ...conductivityNote(fluid, measured),
  ...(measured.ph !== undefined && measured.ph > 8
    ? [`pH ${measured.ph.toFixed(1)}: hydroxide alone breaks ozone down, the faster the higher`]
    : []),
]

const gasNote = (
  { gasUgPerNml: measured }: MeasuredConditions,
  { gas }: Recorded,
  ambient: GasState,
): string[] => {
  if (measured === undefined) return []
  const normal = gas && toNormal(gas, ambient)
  if (normal === undefined || Math.abs(measured / normal - 1) <= GAS_AGREES)
    return [`gas ${measured.toFixed(0)} µg/NmL as measured`]
  return [
    `gas ${measured.toFixed(0)} µg/NmL as measured, ${normal.toFixed(0)} as recorded: the measured value is used`,
  ]
}

const flowNote = (
  { flowMlPerMin: measured }: MeasuredConditions,
  { flowMlPerMin: recorded }: Recorded,
): string[] => {
  if (measured === undefined) return []
  if (recorded === undefined || Math.abs(measured / recorded - 1) <= FLOW_AGREES)
    return [`flow ${measured.toFixed(0)} mL/min as measured`]
  return [
    `flow ${measured.toFixed(0)} mL/min as measured, ${recorded.toFixed(0)} as recorded: the measured value is used`,
  ]
}

/**
 * 0.154 mol/L sodium chloride conducts 16 mS/cm at 25 °C and half of it at 0 °C; water for injection at most 1.3 µS/cm at
 * 25 °C in line (USP <645>), some µS/cm once it has stood in air. Figures from memory; the limits leave a factor of two.
 */
const SALINE_US_PER_CM = [4_000, 32_000] as const
const PURE_MOST_US_PER_CM = 100

const conductivityNote = (fluid: string, { conductivityUsPerCm: measured }: MeasuredConditions): string[] => {
  if (measured === undefined) return []
  const value =
    measured >= 1000 ? `${(measured / 1000).toFixed(1)} mS/cm` : `${measured.toPrecision(2)} µS/cm`
  if (fluid === 'saline' && (measured < SALINE_US_PER_CM[0] || measured > SALINE_US_PER_CM[1]))
    return [`conductivity ${value}: not that of 0.9 % saline`]
  if (fluid === 'distilled' && measured > PURE_MOST_US_PER_CM)
    return [`conductivity ${value}: not that of distilled water`]
  return []
}
