import type { Entry, EntryOf } from '../ledger/entry.ts'
import type { Instrument, PastCheck } from '../wire.ts'
import { type Correcting, corrected, correctionOf } from './correction.ts'
import { calibrationsOf } from './in-force.ts'
import { againstLimit } from './line-from-points.ts'
import { linearityOf } from './linearity-found.ts'
import { sampleWords } from './reference-value.ts'

type PastCalibration = Instrument['history'][number]
type InDoubt = Instrument['in_doubt'][number]

/** Calibrations of an instrument's dissolved-ozone channel, newest first, each against the one in force before it. */
export const pastCalibrations = (entries: readonly Entry[], instrument: string): PastCalibration[] => {
  const own = ozoneCalibrations(entries, instrument)
  const all = calibrationsOf(own, instrument, OZONE)
  const valueBy = (shown: number, before: typeof all, at: EntryOf<'calibration'>) =>
    valueIn(shown, correctionOf(before, usedIn(at.data))(Date.parse(at.happened_at), at.data.temperature_c))
  return own
    .map((entry): PastCalibration => {
      const { data, happened_at: at, entered_at: enteredAt } = entry
      const before = all.filter((c) => Date.parse(c.at) < Date.parse(at))
      const found = data.as_found && valueBy(data.as_found.shown, before, entry)
      const left = data.as_left && valueBy(data.as_left.shown, [{ at, enteredAt, data }], entry)
      const foundPercent = offPercent(found, data.as_found?.reference)
      return {
        at,
        entered_at: enteredAt,
        by: entry.who.name,
        method: data.method,
        reference_method: data.reference_method ?? null,
        slope: data.slope,
        u_slope_percent: data.u_slope_percent,
        zero: data.zero,
        u_zero: data.u_zero,
        tau_s: data.tau_s ?? null,
        temperature_c: data.temperature_c ?? null,
        compensation: data.compensation ?? null,
        fluid: data.fluid ?? null,
        certificate: data.certificate ?? null,
        due_at: data.due_at ?? null,
        as_found_percent: foundPercent,
        as_left_percent: offPercent(left, data.as_left?.reference),
        as_found: asFound(foundPercent, data.u_reference_percent, data.limit_percent),
        linearity: linearityOf(data.points ?? [], data.limit_percent),
        references: (data.points ?? []).flatMap(({ sample }) => (sample ? [sampleWords(sample)] : [])),
      }
    })
    .sort((a, b) => Date.parse(b.at) - Date.parse(a.at))
}

/** As found and as left are taken in the fluid, and at the temperature, of the calibration they belong to. */
const usedIn = ({ fluid, fluid_detail: detail }: EntryOf<'calibration'>['data']) =>
  fluid === undefined ? undefined : { fluid, detail }

/** Undefined where the calibration before says nothing about this fluid or temperature. */
const valueIn = (shown: number, how: Correcting): number | undefined =>
  how.kind === 'not-for-this-fluid' || how.kind === 'not-for-this-temperature'
    ? undefined
    : corrected(shown, how)

export const OZONE = 'dissolved-ozone'

const ozoneCalibrations = (entries: readonly Entry[], instrument: string): EntryOf<'calibration'>[] =>
  entries.filter(
    (e): e is EntryOf<'calibration'> =>
      e.kind === 'calibration' && e.data.instrument === instrument && e.data.channel === OZONE,
  )

const offPercent = (value: number | undefined, reference: number | undefined): number | null =>
  value === undefined || reference === undefined || reference === 0
    ? null
    : (100 * (value - reference)) / Math.abs(reference)

const asFound = (
  off: number | null,
  uPercent: number | undefined,
  limit: number | undefined,
): PastCalibration['as_found'] =>
  off === null || limit === undefined ? 'no-limit' : againstLimit({ value: off, u: uPercent ?? 0 }, limit)

/** Step tests of an instrument's dissolved-ozone probe, newest first. */
export const pastStepTests = (entries: readonly Entry[], instrument: string): Instrument['step_tests'] =>
  entries
    .filter((e): e is EntryOf<'step-test'> => e.kind === 'step-test')
    .filter(({ data }) => data.instrument === instrument && data.channel === OZONE)
    .map(({ data, happened_at: at, entered_at, who }) => ({
      at,
      entered_at,
      by: who.name,
      tau_s: data.tau_s,
      u_tau_s: data.u_tau_s,
      area_tau_s: data.area_tau_s,
      readings: data.readings,
      moved_from: data.moved_from ?? null,
      moved_to: data.moved_to ?? null,
    }))
    .sort((a, b) => Date.parse(b.at) - Date.parse(a.at))

/** Checks, newest first; only the newest of an instrument and kind can be overdue. */
export const pastChecks = (entries: readonly Entry[], nowMs: number): PastCheck[] => {
  const newestFirst = entries
    .filter((e): e is EntryOf<'instrument-check'> => e.kind === 'instrument-check')
    .sort((a, b) => Date.parse(b.happened_at) - Date.parse(a.happened_at))
  return newestFirst.map(({ data, happened_at: at, entered_at, who }, i) => {
    const isAlike = (e: EntryOf<'instrument-check'>) =>
      e.data.kind === data.kind && e.data.instrument === data.instrument
    const isNewest = !newestFirst.slice(0, i).some(isAlike)
    const before = newestFirst.slice(i + 1).find((e) => isAlike(e) && e.data.unit === data.unit)?.data
    const { u_expected = 0, u_found = 0, due_at = null, left = null, bench = null, ...rest } = data
    return {
      ...rest,
      at,
      entered_at,
      by: who.name,
      left,
      bench,
      u: Math.hypot(u_expected, u_found),
      change: before ? data.found - data.expected - ((before.left ?? before.found) - before.expected) : null,
      outcome_left: data.outcome_left ?? null,
      due_at,
      overdue: isNewest && isOverdue(due_at, nowMs),
    }
  })
}

export const isOverdue = (dueAt: string | null | undefined, nowMs: number): boolean =>
  typeof dueAt === 'string' && Date.parse(dueAt) < nowMs

interface Found {
  readonly at: string
  readonly good: boolean
  readonly bad: boolean
}

export interface Suspect {
  readonly kind: PastCheck['kind']
  readonly failedAt: string
  readonly goodSince: string | null
  /** Null: still so. */
  readonly until: string | null
}

/**
 * Of each quantity of an instrument the stretch in which it may have been wrong: from the last time it was known to be
 * good to its newest failure, and on until it is good again. A calibration leaves the ozone meter good.
 */
export const suspectSpans = (
  history: readonly PastCalibration[],
  checks: readonly Pick<PastCheck, 'at' | 'outcome' | 'outcome_left' | 'kind'>[],
): Suspect[] => {
  const kinds = new Set<PastCheck['kind']>(['dissolved-ozone-meter', ...checks.map((c) => c.kind)])
  return [...kinds].flatMap((kind) => {
    const calibrations = kind === 'dissolved-ozone-meter' ? history : []
    const span = suspectSpan([
      ...calibrations.map((c) => ({ at: c.at, good: true, bad: c.as_found === 'outside' })),
      ...checks
        .filter((c) => c.kind === kind)
        .map((c) => ({
          at: c.at,
          good: (c.outcome_left ?? c.outcome) === 'within',
          bad: c.outcome === 'outside',
        })),
    ])
    return span ? [{ kind, ...span }] : []
  })
}

const suspectSpan = (unsorted: readonly Found[]): Omit<Suspect, 'kind'> | undefined => {
  const found = [...unsorted].sort((a, b) => Date.parse(b.at) - Date.parse(a.at))
  const index = found.findIndex((f) => f.bad)
  const failed = found[index]
  if (!failed) return undefined
  const before = found.slice(index + 1).find((f) => f.good)
  const mended = failed.good ? failed : found.slice(0, index).findLast((f) => f.good)
  return { failedAt: failed.at, goodSince: before?.at ?? null, until: mended?.at ?? null }
}

/** `openedAt` of batches measured by the instrument. */
export const inDoubt = (
  span: Suspect,
  batches: readonly { readonly id: string; readonly number: string; readonly openedAt: string }[],
): InDoubt => {
  const from = span.goodSince === null ? Number.NEGATIVE_INFINITY : Date.parse(span.goodSince)
  const to = span.until === null ? Number.POSITIVE_INFINITY : Date.parse(span.until)
  return {
    kind: span.kind,
    failed_at: span.failedAt,
    good_since: span.goodSince,
    batches: batches
      .filter((b) => Date.parse(b.openedAt) >= from && Date.parse(b.openedAt) < to)
      .map(({ id, number }) => ({ id, number })),
  }
}
