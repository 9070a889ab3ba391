import type { BatchRecord, BatchSummary, EntryView, LiveBench, ReadingsAnswer } from '../../server/wire.ts'
import { BATCH_ID, fakeBatch, iso, standing } from './fake-bench.ts'
import { fakeCurves, fakeValue } from './fake-curves.ts'
import { FAKE_ENTRIES } from './fake-entries.ts'

/** Readings every 2 s with a small made-up scatter, and a gap of one minute that the chart must not bridge. */
export const readings = (benches: LiveBench[], query: URLSearchParams): ReadingsAnswer => {
  const live = benches.find((b) => b.bench === query.get('bench'))
  const from = Date.parse(query.get('from') ?? '')
  const to = Date.parse(query.get('to') ?? '')
  const many = live?.batch === null ? 0 : Math.min(3600, Math.floor((to - from) / 2000))
  const points = Array.from({ length: many }, (_, i) => {
    const t_min = (i * 2) / 60
    const value =
      fakeValue(t_min, live?.phase.kind === 'standing') + 0.25 * Math.sin(i * 1.7) * Math.cos(i * 0.31)
    const mean = t_min > 8 && t_min < 9 ? null : value
    return {
      time_us: (from + i * 2000) * 1000,
      min: mean,
      max: mean,
      mean,
      count: 1,
      not_good: i % 97 === 3 ? 1 : 0,
    }
  })
  return {
    bench: query.get('bench') ?? '',
    channel: 'dissolved-ozone',
    unit: 'mg/L',
    from: iso(from),
    to: iso(to),
    calibrated: true,
    points,
  }
}

export const summaries = (now: number): BatchSummary[] => {
  const fits = standing(now).fits
  const of = (n: number, fluid: 'saline' | 'distilled', bound: boolean): BatchSummary => ({
    head: fakeBatch(now - n * 86_400_000, {
      id: BATCH_ID.slice(0, -1) + n,
      number: `A-2026-03-0${n}-1`,
      fluid,
      discarded_at: iso(now - n * 86_400_000),
      phase: { kind: 'discarded', since: iso(now - n * 86_400_000) },
    }),
    plateau_mg_l: bound
      ? { value: null, low: 31, high: null, bound: 'at-least', why: 'clipped' }
      : (fits[0]?.plateau_mg_l ?? null),
    t95_min: bound ? null : (fits[0]?.t95_min ?? null),
    half_life_min: fits[1]?.half_life_min ?? null,
    half_life_20c_min: fits[1]?.half_life_20c_min ?? null,
    mean_temperature_c: 8.4,
    measured_against: [n === 3 ? 'uv, ε 3000' : 'indigo'],
  })
  return [of(1, 'saline', false), of(2, 'distilled', true), of(3, 'saline', false)]
}

/** A batch whose raw readings were removed since. */
export const keptRecord = (now: number, benches: LiveBench[]): BatchRecord => ({
  ...record(now, benches),
  readings_removed_before: iso(now - 10 * 86_400_000),
  results_kept: { at: iso(now - 40 * 86_400_000), newer_entries: true },
})

export const record = (now: number, benches: LiveBench[]): BatchRecord => {
  const live = benches.find((b) => b.batch !== null) ?? standing(now)
  const head = live.batch ?? fakeBatch(now)
  const entries: EntryView[] = FAKE_ENTRIES(now)
  return {
    summary: {
      head,
      plateau_mg_l: live.fits[0]?.plateau_mg_l ?? null,
      t95_min: live.fits[0]?.t95_min ?? null,
      half_life_min: live.fits[1]?.half_life_min ?? null,
      half_life_20c_min: live.fits[1]?.half_life_20c_min ?? null,
      mean_temperature_c: 8.4,
      measured_against: ['indigo'],
    },
    entries,
    fits: live.fits,
    verdicts: live.verdicts,
    notes: live.notes,
    review: null,
    gaps: [{ from: iso(now - 4 * 60_000), to: iso(now - 3 * 60_000) }],
    readings_removed_before: null,
    results_kept: null,
    calibration: live.potency.calibration,
    ledger_head: 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c',
    ledger_entries: 412,
    worked_from: {
      program: 'spargewatch 0.1.0',
      analysis: 'spargewatch.analysis/1',
      ledger_entries: 412,
      readings_seq: 1_204_331,
      at: iso(now),
      meter: 'meter-a',
      readings: 1812,
      set_aside: 14,
      temperature_readings: 1812,
      calibrations: [
        {
          at: iso(now - 12 * 86_400_000),
          entered_at: iso(now - 11 * 86_400_000),
          method: 'indigo, dye lot 7',
          slope: 0.98,
          zero_mg_l: 0.05,
          u_slope_percent: 3,
          u_zero_mg_l: 0.1,
          readings: 1752,
          compensation: 'membrane-and-solubility',
          fluid_factor: { low: 0.968, high: 0.969 },
        },
      ],
      uncalibrated_readings: 0,
      readings_not_for_this_fluid: 0,
      readings_not_for_this_temperature: 0,
      probe_lag_s: { tau: 13, u: 2 },
      full_scale_mg_l: 50,
      earlier_batches: 12,
      earlier_batches_other_reference: 3,
      input_sha256: 'c0535e4be2b79ffd93291305436bf889314e4a3faec05ecffcbb7df31ad9e51a',
      command:
        'npx spargewatch export A-2026-03-14-1 --what all --ledger-entries 412 --readings 1204331 --at 2026-03-14T10:00:00.000Z',
    },
    curves: fakeCurves(now, live),
  }
}
