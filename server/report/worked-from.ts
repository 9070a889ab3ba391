import { createHash } from 'node:crypto'
import type { AnalysisInput } from '../analysis/input.ts'
import type { Analysis } from '../analysis/schema.ts'
import type { Used } from '../calibration/tally.ts'
import type { Batch } from '../ledger/batch.ts'
import { canonicalJson } from '../ledger/hash-chain.ts'
import type { BatchRecord } from '../wire.ts'
import type { AsOf } from './as-of.ts'
import type { BatchInput } from './batch-input.ts'

/** Stands on every record: which program's numbers these are. */
export const ANALYSIS_VERSION = 'spargewatch.analysis/1'

interface Parts extends Pick<BatchInput, 'input' | 'tally' | 'meter'> {
  readonly batch: Batch
  readonly analysis: Analysis
  readonly asOf: AsOf
  readonly programVersion: string
  readonly otherReference: number
}

/** What a record's numbers were worked out from, and the one command that works them out again. */
export const workedFrom = (parts: Parts): BatchRecord['worked_from'] => {
  const { batch, input, analysis, tally, asOf } = parts
  const at = new Date(asOf.atMs).toISOString()
  return {
    program: `spargewatch ${parts.programVersion}`,
    analysis: ANALYSIS_VERSION,
    ledger_entries: asOf.ledgerEntries,
    readings_seq: asOf.readingsSeq,
    at,
    meter: parts.meter?.instrument ?? null,
    readings: analysis.readings,
    set_aside: analysis.set_aside.reduce((sum, s) => sum + (s.count ?? 1), 0),
    temperature_readings: input.temperature?.celsius.length ?? 0,
    calibrations: tally.all().map(calibrationOf),
    uncalibrated_readings: tally.uncalibrated,
    readings_not_for_this_fluid: tally.notForThisFluid,
    readings_not_for_this_temperature: tally.notForThisTemperature,
    probe_lag_s: input.probeLag ? { tau: input.probeLag.tauS, u: input.probeLag.uS } : null,
    full_scale_mg_l: input.rangeMaxMgPerL ?? null,
    earlier_batches: input.history?.batches ?? 0,
    earlier_batches_other_reference: parts.otherReference,
    input_sha256: inputHash(input),
    command: [
      `npx spargewatch export ${batch.settings.number} --what all`,
      `--ledger-entries ${asOf.ledgerEntries} --readings ${asOf.readingsSeq} --at ${at}`,
    ].join(' '),
  }
}

const calibrationOf = ({ by: { at, enteredAt, data }, readings, factor }: Used) => ({
  at,
  entered_at: enteredAt,
  method: data.method,
  slope: data.slope,
  zero_mg_l: data.zero,
  u_slope_percent: data.u_slope_percent,
  u_zero_mg_l: data.u_zero,
  readings,
  compensation: data.senses === 'concentration' ? null : (data.compensation ?? 'not-stated'),
  fluid_factor: { low: factor[0], high: factor[1] },
})

/** SHA-256 over the canonical JSON (RFC 8785) of everything the kinetics were given; rules of thumb change no fit. */
const inputHash = ({ rulesOfThumb: _rules, ...input }: AnalysisInput): string =>
  createHash('sha256')
    .update(canonicalJson(plain(input)))
    .digest('hex')

/** Typed arrays as lists; a place without a number as null. */
const plain = (value: unknown): unknown => {
  if (value instanceof Float64Array || value instanceof Uint8Array)
    return Array.from(value, (n) => (Number.isNaN(n) ? null : n))
  if (Array.isArray(value)) return value.map(plain)
  if (typeof value === 'object' && value !== null)
    return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, plain(v)]))
  return value
}
