import { mean, sampleStandardDeviation } from 'simple-statistics'
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

/** From its time on, `tauS` and `uS` are those of this test and its repeats so far. */
export type StepTestInForce = ProbeLag & { readonly atMs: number }

/** Step tests of one channel of one instrument, in the order of their time. */
export const stepTestsOf = (
  entries: readonly Entry[],
  instrument: string,
  channel: string,
): readonly StepTestInForce[] => {
  const own = entries
    .flatMap(({ happened_at, kind, data }) =>
      kind === 'step-test' && data.instrument === instrument && data.channel === channel
        ? [{ atMs: Date.parse(happened_at), tauS: data.tau_s, uS: data.u_tau_s }]
        : [],
    )
    .sort((a, b) => a.atMs - b.atMs)
  return own.map(({ atMs }, i) => ({
    atMs,
    ...together(own.slice(0, i + 1).filter((s) => atMs - s.atMs < TOGETHER_MS)),
  }))
}

/** Step tests within this of the newest are repeats of one. */
const TOGETHER_MS = 24 * 3600_000

/**
 * Mean of repeats; u: what scatters within a test, or from test to test where that is more. The standard deviation is
 * not divided by √n: how a batch stirs the probe is another such test. JCGM 100:2008, 4.2.
 */
const together = (repeats: readonly ProbeLag[]): ProbeLag => {
  const tauS = mean(repeats.map((s) => s.tauS))
  const within = Math.sqrt(mean(repeats.map((s) => s.uS ** 2)))
  const between = repeats.length < 2 ? 0 : sampleStandardDeviation(repeats.map((s) => s.tauS))
  return { tauS, uS: Math.max(within, between) }
}

/** Uncertainty of a response time entered without one, as part of it; from memory. */
const UNSTATED_TAU_PART = 0.1

/**
 * The response time that counts for a reading taken at `atMs`: of the calibration in force, or of step tests not after
 * the reading when they came later or the calibration states none. A calibration without a response time takes away
 * that of an older calibration, not that of a step test.
 */
export const lagAt = (
  by: CalibrationInForce | undefined,
  stepTests: readonly StepTestInForce[],
  atMs: number,
): ProbeLag | undefined => {
  const tested = stepTests.findLast((s) => s.atMs <= atMs)
  const tauS = by?.data.tau_s
  if (by === undefined || tauS === undefined || (tested && tested.atMs > Date.parse(by.at)))
    return tested && { tauS: tested.tauS, uS: tested.uS }
  return { tauS, uS: by.data.u_tau_s ?? tauS * UNSTATED_TAU_PART }
}
