import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { CANONICAL_UNIT, type Channel, type NewReading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { foldBatch } from '../../server/ledger/batch.ts'
import type { EntryData } from '../../server/ledger/entry.ts'
import { BenchState } from '../../server/live/bench-state.ts'
import { readBatchInput } from '../../server/report/batch-input.ts'
import { atMinute, BATCH, newEntry, OPENED, temporaryLedger } from './entries.ts'
import { temporaryFolder } from './temporary-folder.ts'

export const CALIBRATED: EntryData<'calibration'> = {
  instrument: 'meter-a',
  channel: 'dissolved-ozone',
  slope: 1,
  zero: 0,
  u_slope_percent: 2,
  u_zero: 0.1,
  method: 'indigo',
  senses: 'concentration',
}

const ZERO_MS = Date.parse(atMinute(0))
const SERIES = { bench: 'A', instrument: 'meter-a' }
const KNOWN = { past: { history: undefined, noise: undefined, otherReference: 0 }, rulesOfThumb: () => [] }

interface More {
  readonly untilMinute?: number
  readonly celsius?: number
  /** Further channels, each with its value at a second of the batch, and the bench it is wired to (A). */
  readonly beside?: readonly {
    readonly channel: Channel
    readonly bench?: string
    readonly at: (s: number) => number
  }[]
  readonly stepTests?: readonly (readonly [minute: number, data: EntryData<'step-test'>])[]
}

/**
 * A batch opened at minute 0, bubbling from minute 1, whose meter sends 20 every second from minute -1 to `untilMinute`
 * and whose thermometer sends `celsius`.
 */
export const measuredBatch = (
  calibrations: readonly (readonly [minute: number, data: Partial<EntryData<'calibration'>>])[],
  settings: Partial<typeof OPENED> = {},
  { untilMinute = 6, celsius = 20, stepTests = [], beside = [] }: More = {},
) => {
  const { ledger } = temporaryLedger()
  const store = new SqliteStore({ path: join(temporaryFolder(), 'readings.db'), kind: 'real', writes: true })
  const wired = { ...SERIES, site: 'Example', port: 'p', intervalS: 1, fullScale: null, wired: true }
  store.wire([
    { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
    { ...wired, channel: 'fluid-temperature', unit: '°C' },
    ...beside.map(({ channel, bench = 'A' }) => ({
      ...wired,
      bench,
      channel,
      unit: CANONICAL_UNIT[channel],
    })),
  ])
  const readings: NewReading[] = []
  for (let s = -60; s <= untilMinute * 60; s++) {
    const moment = {
      timeUs: timeUs((ZERO_MS + s * 1000) * 1000),
      bootId: 'b',
      monoMs: 1e6 + s * 1000,
      movedUs: 0,
    }
    const good = { ...moment, quality: 'good' as const }
    readings.push(
      { ...good, series: { ...SERIES, channel: 'dissolved-ozone' }, raw: 20, value: 20 },
      { ...good, series: { ...SERIES, channel: 'fluid-temperature' }, raw: celsius, value: celsius },
      ...beside.map(({ channel, bench = 'A', at }) => ({
        ...good,
        series: { ...SERIES, bench, channel },
        raw: at(s),
        value: at(s),
      })),
    )
  }
  store.appendNow(readings)
  ledger.append(newEntry('batch-opened', 0, { ...OPENED, ...settings }))
  ledger.append(newEntry('ozone-on', 1, {}))
  for (const [minute, data] of calibrations)
    ledger.append(
      newEntry('calibration', minute, { ...CALIBRATED, ...data }, { id: uuidv7(), bench: null, batch: null }),
    )
  for (const [minute, data] of stepTests)
    ledger.append(newEntry('step-test', minute, data, { id: uuidv7(), bench: null, batch: null }))
  const batch = foldBatch(ledger.ofBatch(BATCH))
  if (!batch) throw new Error('no batch')
  const nowMs = ZERO_MS + untilMinute * 60_000 + 500
  const read = () =>
    readBatchInput(batch, {
      store,
      ledger,
      asOf: { ledgerEntries: ledger.head().entries, readingsSeq: store.newestSeq(), atMs: nowMs },
      rulesOfThumb: [],
      past: KNOWN.past,
    })
  /** The corrected value that stands at a minute. */
  const valueAt = (minute: number): number => {
    const { input } = read()
    const atS = ((ZERO_MS + minute * 60_000) * 1000 - input.startUs) / 1e6
    return input.potencyMgPerL[input.timesS.findIndex((t) => Math.abs(t - atS) < 0.1)] ?? Number.NaN
  }
  const live = (): BenchState => {
    const clock = { nowMs: () => nowMs, steadyMs: () => 1e9 }
    return new BenchState(
      { id: 'A', name: 'Bench A', simulated: false, control: null },
      {
        batch,
        calibrations: [...ledger.ofKind('calibration'), ...ledger.ofKind('step-test')],
        clockSteps: [],
        ...KNOWN,
      },
      {
        store,
        clock,
        estimator: () => {
          throw new Error('no estimate wanted')
        },
      },
    )
  }
  return { store, ledger, batch, read, valueAt, live, nowMs }
}
