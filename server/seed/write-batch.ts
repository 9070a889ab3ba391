import { v7 as uuidv7 } from 'uuid'
import { playScript } from '../../ingest/bench-simulator/play-script.ts'
import type { NewReading } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../ingest/units.ts'
import { batchNumber } from '../acting/batch-number.ts'
import type { EntryData, EntryKind } from '../ledger/entry.ts'
import type { Ledger, NewEntry } from '../ledger/ledger.ts'
import { type BatchPlan, type Step, scriptOf } from './batch-plan.ts'
import { withRules } from './sheets.ts'

/** Marks readings that a seeding wrote: uptime then equals the wall time. */
const SEED_BOOT = 'seeded'

export interface Seeding {
  readonly store: SqliteStore
  readonly ledger: Ledger
  readonly zone: string
}

export interface WrittenBatch {
  readonly plan: BatchPlan
  readonly openedMs: number
  /** Nothing later than this is written. */
  readonly untilMs: number
  readonly who: string
}

/** Writes a simulated batch as if it had been logged: its readings to the store, its entries to the ledger. */
export const writeBatch = (
  { store, ledger, zone }: Seeding,
  { plan, openedMs, untilMs, who }: WrittenBatch,
): void => {
  const untilS = (untilMs - openedMs) / 1000
  const done = plan.steps.filter((step) => step.atS < untilS)
  const values = writeReadings(store, plan, done, openedMs, untilS)
  const batch = uuidv7()
  const at = (atS: number) => new Date(openedMs + atS * 1000).toISOString()
  const entry = <K extends EntryKind>(kind: K, atS: number, data: EntryData<K>): NewEntry<K> => ({
    id: uuidv7(),
    happened_at: at(atS),
    entered_at: at(atS),
    bench: plan.bench,
    batch,
    who: { name: who, how: 'typed' },
    kind,
    data,
  })
  const number = batchNumber(plan.bench, at(0), zone, ledger.ofKind('batch-opened'))
  let leftMl = plan.settings.volume_ml
  const entries = done.map((step) => {
    if (step.kind === 'note') return entry('note', step.atS, { text: step.text ?? '' })
    if (step.kind !== 'drawn-up') return entry(step.kind, step.atS, {})
    leftMl -= step.ml ?? 0
    return entry('drawn-up', step.atS, {
      ml: step.ml ?? 0,
      left_ml: leftMl,
      at_draw: atDraw(values, step.atS),
    })
  })
  ledger.appendAll([entry('batch-opened', 0, { ...withRules(plan.settings, ledger), number }), ...entries])
}

const writeReadings = (
  store: SqliteStore,
  plan: BatchPlan,
  done: readonly Step[],
  openedMs: number,
  untilS: number,
): number[] => {
  const readings: NewReading[] = []
  const values: number[] = []
  const lastS = Math.min(untilS, (plan.steps.at(-1)?.atS ?? untilS) + 1)
  for (const sample of playScript(scriptOf(plan, done), { untilS: lastS })) {
    const at = openedMs + sample.atS * 1000
    const base = { timeUs: timeUs(Math.round(at * 1000)), bootId: SEED_BOOT, monoMs: at, movedUs: 0 }
    const instrument = `meter-${plan.bench.toLowerCase()}`
    values.push(sample.meterMgPerL)
    readings.push({
      ...base,
      series: { bench: plan.bench, instrument, channel: 'dissolved-ozone' },
      raw: sample.meterMgPerL,
      value: sample.meterMgPerL,
      quality: sample.clipped ? 'clipped' : 'good',
    })
    readings.push({
      ...base,
      series: { bench: plan.bench, instrument, channel: 'fluid-temperature' },
      raw: sample.thermometerC,
      value: sample.thermometerC,
      quality: 'good',
    })
  }
  store.appendNow(readings)
  return values
}

/** Mean of the ten seconds before a draw; the band is that of the calibration the seeding wrote. */
const atDraw = (values: readonly number[], atS: number): EntryData<'drawn-up'>['at_draw'] => {
  const around = values.slice(Math.max(0, Math.floor(atS) - 10), Math.floor(atS))
  if (around.length === 0) return null
  const mean = around.reduce((a, b) => a + b, 0) / around.length
  return {
    value_mg_l: mean,
    low_mg_l: mean * 0.94 - 0.2,
    high_mg_l: mean * 1.06 + 0.2,
    basis: 'measured',
    calibrated: true,
  }
}
