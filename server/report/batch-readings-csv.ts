import type { Reading } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { correctionOf, UNCORRECTED } from '../calibration/correction.ts'
import { calibrationsOf, inForceAt } from '../calibration/in-force.ts'
import { type Batch, fluidOf } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { batchStartUs } from '../live/analysis-input.ts'
import { isBeforeOpening, namesAheadUs, stepsWithin, sumOfStepsUs } from '../live/clock-steps.ts'
import { type Elapsed, elapsedOf } from '../live/elapsed.ts'
import { readingsCsv } from './readings-csv.ts'
import { removedBefore } from './removed-readings.ts'

export interface CsvSources {
  readonly store: SqliteStore
  readonly ledger: Ledger
  readonly site: string
  readonly simulated: boolean
  readonly nowMs: number
}

/** Readings of a batch from its start to its discard (to now while it is open), as CSV. */
export const batchReadingsCsv = (
  batch: Batch,
  { store, ledger, site, simulated, nowMs }: CsvSources,
): Generator<string> => {
  const from = batchStartUs(batch)
  const clockSteps = ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'clock-step')
  const end = (batch.discardedAt ? Date.parse(batch.discardedAt) : nowMs) * 1000 + 1
  const to = timeUs(end + namesAheadUs(clockSteps))
  const series = store.wiring().filter((s) => s.bench === batch.bench)
  const withReadings = (channel: string) =>
    series.find((s) => s.channel === channel && store.envelopeNow(s, from, to, 1).length > 0)
  const meter = withReadings('dissolved-ozone')
  const thermometer = withReadings('fluid-temperature')
  const head = ledger.head()
  const own = meter ? calibrationsOf(ledger.ofKind('calibration'), meter.instrument, meter.channel) : []
  const atStart = inForceAt(own, from / 1000)
  return readingsCsv(
    {
      number: batch.settings.number,
      site,
      simulated,
      calibrations: own.filter((c) => c === atStart || within(Date.parse(c.at), from / 1000, to / 1000)),
      correction: meter ? correctionOf(own, fluidOf(batch)) : UNCORRECTED,
      ledgerHead: head.head,
      ledgerEntries: head.entries,
      removedBefore: removedBefore(store, [meter, thermometer], from),
    },
    meter ? inPlace(store.rangeNow(meter, from, to), batch, clockSteps) : [],
    thermometer ? inPlace(store.rangeNow(thermometer, from, to), batch, clockSteps) : [],
  )
}

const within = (at: number, from: number, to: number): boolean => at > from && at < to

/**
 * After a clock step the names of readings no longer tell when they were: they get the time that uptime gives them,
 * told by the clock as it went at the end. Without a step nothing changes.
 */
const inPlace = (readings: Reading[], batch: Batch, clockSteps: readonly Entry[]): Reading[] => {
  if (clockSteps.length === 0) return readings
  const from = batchStartUs(batch)
  const tooOld = isBeforeOpening(batch, clockSteps)
  const steppedUs = sumOfStepsUs(stepsWithin(batch, clockSteps))
  let before: Elapsed | undefined
  return readings.flatMap((reading) => {
    if (tooOld(reading)) return []
    const at = elapsedOf(reading, before, from)
    if (at.seconds < 0) return []
    before = at
    return [{ ...reading, timeUs: timeUs(from + steppedUs + Math.round(at.seconds * 1e6)) }]
  })
}
