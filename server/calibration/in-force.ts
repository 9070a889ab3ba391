import type { Entry, EntryData } from '../ledger/entry.ts'

export interface CalibrationInForce {
  readonly at: string
  readonly data: EntryData<'calibration'>
}

/** The calibration of an instrument's channel that applies to a reading taken at `at`: the newest one before it. */
export const calibrationInForce = (
  calibrations: readonly Entry[],
  instrument: string,
  channel: string,
  at: string,
): CalibrationInForce | undefined => {
  let found: CalibrationInForce | undefined
  for (const entry of calibrations) {
    if (
      entry.kind !== 'calibration' ||
      entry.data.instrument !== instrument ||
      entry.data.channel !== channel
    )
      continue
    if (entry.happened_at <= at && (!found || entry.happened_at >= found.at))
      found = { at: entry.happened_at, data: entry.data }
  }
  return found
}

/** true value = (reading − zero) / slope. Stored readings stay as they are; this applies where they are used. */
export const calibrated = (reading: number, calibration: CalibrationInForce | undefined): number =>
  calibration === undefined ? reading : (reading - calibration.data.zero) / calibration.data.slope
