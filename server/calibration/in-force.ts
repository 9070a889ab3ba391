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
