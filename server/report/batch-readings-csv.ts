import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { calibrationInForce } from '../calibration/in-force.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { batchStartUs } from '../live/analysis-input.ts'
import { readingsCsv } from './readings-csv.ts'

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
  const to = timeUs((batch.discardedAt ? Date.parse(batch.discardedAt) : nowMs) * 1000 + 1)
  const series = store.wiring().filter((s) => s.bench === batch.bench)
  const withReadings = (channel: string) =>
    series.find((s) => s.channel === channel && store.envelopeNow(s, from, to, 1).length > 0)
  const meter = withReadings('dissolved-ozone')
  const thermometer = withReadings('fluid-temperature')
  const head = ledger.head()
  const at = new Date(to / 1000).toISOString()
  return readingsCsv(
    {
      number: batch.settings.number,
      site,
      simulated,
      calibration:
        meter && calibrationInForce(ledger.ofKind('calibration'), meter.instrument, meter.channel, at),
      ledgerHead: head.head,
      ledgerEntries: head.entries,
    },
    meter ? store.rangeNow(meter, from, to) : [],
    thermometer ? store.rangeNow(thermometer, from, to) : [],
  )
}
