import type { AnalysedPhase, Analysis, Quantity } from '../analysis/schema.ts'
import { type Batch, gasState } from '../ledger/batch.ts'
import { ozoneMinutes, timesBubbledAgain, whyNotAgain } from '../ledger/ozone-time.ts'
import type { BatchHead, Estimate, FitSummary, Forecast } from '../wire.ts'

/** The analysis and the ledger, in the form the screens take. */

export const estimateOf = (quantity: Quantity | undefined): Estimate | null => {
  if (quantity === undefined) return null
  if ('value' in quantity)
    return {
      value: quantity.value,
      low: quantity.ci95[0],
      high: quantity.ci95[1],
      bound: null,
      why: null,
      ...(quantity.full_ci95 ? { full: { low: quantity.full_ci95[0], high: quantity.full_ci95[1] } } : {}),
    }
  if ('at_least' in quantity)
    return { value: quantity.at_least, low: null, high: null, bound: 'at-least', why: quantity.why }
  return { value: quantity.at_most, low: null, high: null, bound: 'at-most', why: quantity.why }
}

export const fitSummary = (phase: AnalysedPhase): FitSummary => ({
  kind: phase.kind,
  status: phase.status,
  why: phase.why ?? null,
  start: phase.start,
  end: phase.end,
  plateau_mg_l: phase.kind === 'rise' ? estimateOf(phase.plateau_mg_l) : null,
  rate_per_min: estimateOf(phase.rate_per_min),
  t95_min: phase.kind === 'rise' ? estimateOf(phase.t95_min) : null,
  half_life_min: phase.kind === 'decay' ? estimateOf(phase.half_life_min) : null,
  half_life_20c_min: phase.kind === 'decay' ? estimateOf(phase.half_life_20c_min) : null,
  lost_percent: phase.kind === 'purge' ? percent(estimateOf(phase.lost_fraction)) : null,
  fraction_of_plateau: phase.kind === 'rise' ? (phase.fraction_of_plateau ?? null) : null,
  order: phase.kind === 'decay' ? (phase.order ?? null) : null,
  residual_sd_mg_l: phase.residual_sd_mg_l ?? null,
  n: phase.n ?? 0,
  n_eff: phase.n_eff ?? null,
  notes: phase.notes,
})

const percent = (fraction: Estimate | null): Estimate | null => {
  const hundredfold = (n: number | null) => (n === null ? null : 100 * n)
  return (
    fraction && {
      ...fraction,
      value: hundredfold(fraction.value),
      low: hundredfold(fraction.low),
      high: hundredfold(fraction.high),
    }
  )
}

export const forecastOf = (analysis: Analysis | undefined, targetMgL: number | null): Forecast => {
  const none = { target_mg_l: targetMgL, reaches_target_at: null, early_bound_at: null, latest_at: null }
  if (targetMgL === null)
    return { ...none, state: 'no-target', basis: 'none', why: 'no target was set for this batch' }
  const forecast = analysis?.forecast
  if (!forecast) return { ...none, state: 'cannot-tell', basis: 'none', why: 'no readings yet' }
  if ('refused' in forecast) {
    const below = forecast.refused === 'below-target-already'
    return { ...none, state: below ? 'below-target' : 'cannot-tell', basis: 'none', why: forecast.refused }
  }
  return {
    state: forecast.if_off_now ? 'if-off-now' : 'counting',
    target_mg_l: targetMgL,
    reaches_target_at: forecast.reaches_target_at,
    early_bound_at: forecast.early_bound_at,
    latest_at: forecast.ci95[1],
    basis: forecast.basis,
    why: forecast.notes[0] ?? null,
  }
}

/** Details a record should have and this batch lacks, in plain words. */
const missing = (batch: Batch): string[] => {
  const { lot, target_mg_l, gas, flow_ml_per_min, prep_min, age_limit_min } = batch.settings
  return [
    ...(lot === undefined ? ['lot'] : []),
    ...(target_mg_l === undefined ? ['target'] : []),
    ...(gas === undefined ? ['gas value and its reference state'] : []),
    ...(flow_ml_per_min === undefined ? ['gas flow'] : []),
    ...(prep_min === undefined ? ['prep time'] : []),
    ...(age_limit_min === undefined ? ['age limit'] : []),
  ]
}

export const batchHead = (batch: Batch, simulated: boolean): BatchHead => ({
  id: batch.id,
  number: batch.settings.number,
  bench: batch.bench,
  fluid: batch.settings.fluid,
  fluid_detail: batch.settings.fluid_detail ?? null,
  lot: batch.settings.lot ?? null,
  volume_ml: batch.settings.volume_ml,
  left_ml: batch.leftMl,
  target_mg_l: batch.settings.target_mg_l ?? null,
  gas: batch.settings.gas ?? null,
  flow_ml_per_min: batch.settings.flow_ml_per_min ?? null,
  prep_min: batch.settings.prep_min ?? null,
  age_limit_min: batch.settings.age_limit_min ?? null,
  lead_time_min: batch.settings.lead_time_min ?? null,
  temperature_c: batch.settings.temperature_c ?? null,
  measuring_place: batch.settings.measuring_place,
  purge: batch.settings.purge,
  opened_at: batch.openedAt,
  opened_by: batch.openedBy,
  ozone_on_at: [...batch.ozoneOnAt],
  ozone_off_at: [...batch.ozoneOffAt],
  flow_off_at: [...batch.flowOffAt],
  discarded_at: batch.discardedAt,
  simulated,
  phase: gasState(batch),
  seq: batch.newestSeq,
  missing: missing(batch),
  method_sheet: methodSheetOf(batch),
  bubbled_again: bubbledAgain(batch),
})

const methodSheetOf = ({ settings }: Batch): BatchHead['method_sheet'] => {
  const { method_sheet, from_sheet } = settings
  if (!method_sheet || !from_sheet) return null
  const { name, steps, mark_ml } = from_sheet
  return { ...method_sheet, name, steps, mark_ml: mark_ml ?? null }
}

/** What is still on counts from its end on: the number moves only when something is entered. */
const bubbledAgain = (batch: Batch): BatchHead['bubbled_again'] => {
  const rule = batch.settings.from_sheet?.bubble_again
  return {
    times: timesBubbledAgain(batch),
    ozone_min: ozoneMinutes(batch, Date.parse(batch.ozoneOnAt.at(-1) ?? batch.openedAt)),
    most_times: rule?.most_times ?? null,
    most_ozone_min: rule?.most_ozone_min ?? null,
    why_not: whyNotAgain(batch) ?? null,
  }
}
