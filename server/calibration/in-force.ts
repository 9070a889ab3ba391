import type { Entry, EntryData } from '../ledger/entry.ts'

export interface CalibrationInForce {
  /** From here on it counts. */
  readonly at: string
  /** Later than `at` where it was dated back. */
  readonly enteredAt: string
  readonly data: EntryData<'calibration'>
}

/** Calibrations of one channel of one instrument in the order of their time; of one moment, in the order entered. */
export const calibrationsOf = (
  entries: readonly Entry[],
  instrument: string,
  channel: string,
): readonly CalibrationInForce[] =>
  entries
    .flatMap((entry) =>
      entry.kind === 'calibration' && entry.data.instrument === instrument && entry.data.channel === channel
        ? [{ at: entry.happened_at, enteredAt: entry.entered_at, data: entry.data }]
        : [],
    )
    .sort((a, b) => Date.parse(a.at) - Date.parse(b.at))

/** The one that applies to a reading taken at `atMs`: the newest not after it. Stored readings stay as they are. */
export const inForceAt = (
  calibrations: readonly CalibrationInForce[],
  atMs: number,
): CalibrationInForce | undefined => calibrations.findLast((c) => Date.parse(c.at) <= atMs)

/** Response time of a probe, s, with its standard uncertainty. */
export interface ProbeLag {
  readonly tauS: number
  readonly uS: number
}

export type StepTestInForce = ProbeLag & { readonly at: string; readonly enteredAt: string }

/** Step tests of one channel of one instrument, in the order of their time. */
export const stepTestsOf = (
  entries: readonly Entry[],
  instrument: string,
  channel: string,
): readonly StepTestInForce[] =>
  entries
    .flatMap(({ happened_at: at, entered_at: enteredAt, kind, data }) =>
      kind === 'step-test' && data.instrument === instrument && data.channel === channel
        ? [{ at, enteredAt, tauS: data.tau_s, uS: data.u_tau_s }]
        : [],
    )
    .sort((a, b) => Date.parse(a.at) - Date.parse(b.at))

/** Uncertainty of a response time entered without one, as part of it; from memory. */
const UNSTATED_TAU_PART = 0.1

/**
 * The response time that counts for a reading taken at `atMs`: of the calibration in force, or of the newest step test
 * not after the reading when that came later or the calibration states none. A calibration without a response time
 * takes away that of an older calibration, not that of a step test.
 */
export const lagAt = (
  by: CalibrationInForce | undefined,
  stepTests: readonly StepTestInForce[],
  atMs: number,
): ProbeLag | undefined => {
  const tested = stepTests.findLast((s) => Date.parse(s.at) <= atMs)
  const tauS = by?.data.tau_s
  if (by === undefined || tauS === undefined || (tested && Date.parse(tested.at) > Date.parse(by.at)))
    return tested && { tauS: tested.tauS, uS: tested.uS }
  return { tauS, uS: by.data.u_tau_s ?? tauS * UNSTATED_TAU_PART }
}
