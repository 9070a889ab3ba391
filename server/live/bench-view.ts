import { ugPerNml } from '../../ingest/units.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { CalibrationInForce } from '../calibration/in-force.ts'
import type { BenchConfig } from '../config.ts'
import { type Batch, gasState } from '../ledger/batch.ts'
import { ozoneMinutes } from '../ledger/ozone-time.ts'
import { atState, toNormal } from '../model/gas-concentration.ts'
import type { MeasuredConditions } from '../model/measured-conditions.ts'
import { singleDecision } from '../spot/single-decision.ts'
import { isSpotMode } from '../spot/spot-mode.ts'
import type { LiveBench } from '../wire.ts'
import type { ChannelMemory } from './bench-memory.ts'
import { type Companions, companionViews } from './companions.ts'
import { offerOf } from './offer.ts'
import { plannedOff } from './planned-off.ts'
import { potencyView, staleAfterS } from './potency-view.ts'
import { batchHead, fitSummary, forecastOf } from './present.ts'
import { verdictOf } from './verdict-words.ts'

export interface BenchParts {
  readonly bench: BenchConfig
  readonly batch: Batch | undefined
  readonly potency: ChannelMemory
  readonly temperature: ChannelMemory
  readonly roomOzone: ChannelMemory
  readonly companions: Companions
  readonly conditions: MeasuredConditions
  readonly estimate: LiveEstimate | undefined
  readonly calibration: CalibrationInForce | undefined
  readonly probeTauS: number | null
  readonly fullScaleMgL: number | null
  readonly intervalS: number
  readonly wired: boolean
  readonly steadyMs: number
  readonly nowMs: number
}

/** One bench as every screen sees it, without its alarms and next step, which look at this. Pure. */
export const benchView = (parts: BenchParts): Omit<LiveBench, 'alarms' | 'next_step'> => {
  const { bench, batch, estimate, nowMs } = parts
  const potency = potencyView({ ...parts, memory: parts.potency })
  const phase = batch ? gasState(batch) : ({ kind: 'no-batch', since: null } as const)
  const target = batch?.settings.target_mg_l ?? null
  const analysis = estimate?.analysis
  const forecast = forecastOf(analysis, target)
  return {
    bench: bench.id,
    name: bench.name,
    simulated: bench.simulated,
    metered: parts.wired,
    spot_mode: parts.wired && batch !== undefined && isSpotMode(batch),
    at: new Date(nowMs).toISOString(),
    potency,
    temperature: temperatureView(parts),
    room_ozone_ppm: freshValue(parts.roomOzone, parts),
    companions: companionViews(parts.companions, parts.steadyMs),
    batch: batch ? batchHead(batch, bench.simulated) : null,
    phase,
    decision: decide(parts, potency, target),
    estimate_now: estimateNow(potency, estimate, forecast),
    fits: analysis?.phases.map(fitSummary) ?? [],
    forecast:
      phase.kind === 'set-up' ? withheld(forecast, 'not bubbled yet') : calibratedOnly(forecast, estimate),
    verdicts: analysis?.verdicts.map(verdictOf) ?? [],
    notes: [...(analysis?.notes ?? [])],
    offer: offerOf(analysis?.phases ?? [], phase, nowMs),
    ozone_off_at_planned: plannedOff(batch),
    vented_mg: batch ? ventedMg(batch, parts.conditions, potency.value_mg_l, nowMs) : null,
    batch_mg:
      batch && potency.state === 'live' && potency.value_mg_l !== null
        ? (potency.value_mg_l * batch.leftMl) / 1000
        : null,
  }
}

const withheld = (forecast: LiveBench['forecast'], why: string): LiveBench['forecast'] => ({
  ...forecast,
  state: forecast.target_mg_l === null ? 'no-target' : 'cannot-tell',
  reaches_target_at: null,
  early_bound_at: null,
  latest_at: null,
  basis: 'none',
  why,
})

/** "Above until" is a statement about the target: without a calibration none is made. That it is below is still told. */
const calibratedOnly = (
  forecast: LiveBench['forecast'],
  estimate: LiveEstimate | undefined,
): LiveBench['forecast'] => {
  const now = estimate?.potency
  const isCalibrated = now === undefined || now.kind === 'none' || now.calibrated
  const saysAbove = forecast.state === 'counting' || forecast.state === 'if-off-now'
  return saysAbove && !isCalibrated ? withheld(forecast, 'not calibrated, so no time is counted') : forecast
}

const decide = (
  { batch, estimate, nowMs }: BenchParts,
  potency: LiveBench['potency'],
  target: number | null,
): LiveBench['decision'] => {
  if (target === null) return 'no-target'
  if (potency.state !== 'live' && potency.state !== 'by-hand') return 'no-value'
  const isMeters = potency.state === 'live' || potency.taken === 'meter'
  if (!potency.calibration && isMeters) return 'not-calibrated'
  const word = estimate?.decision?.word
  if (word === undefined)
    return batch && potency.state === 'by-hand' ? singleDecision(batch, target, nowMs) : 'no-value'
  return word === 'too-close' ? 'too-close-to-say' : word
}

/** Between readings by hand, or after the meter fell silent: a range for now, which is never a measurement. */
const estimateNow = (
  potency: LiveBench['potency'],
  estimate: LiveEstimate | undefined,
  forecast: LiveBench['forecast'],
): LiveBench['estimate_now'] => {
  const now = estimate?.potency
  if (potency.state !== 'stale' && potency.state !== 'by-hand') return null
  if (now?.kind !== 'estimated' || forecast.basis === 'none') return null
  return { low_mg_l: Math.max(0, now.ci95[0]), high_mg_l: now.ci95[1], basis: forecast.basis }
}

const freshValue = (memory: ChannelMemory, { steadyMs }: BenchParts): number | null => {
  const newest = memory.newestGood
  return newest && (steadyMs - newest.receivedMs) / 1000 < ROOM_STALE_S ? newest.value : null
}
const ROOM_STALE_S = 30

const temperatureView = (parts: BenchParts): LiveBench['temperature'] => {
  const newest = parts.temperature.newest
  if (!newest) return { state: 'no-reading', celsius: null, at: null }
  const age = (parts.steadyMs - newest.receivedMs) / 1000
  const state = age > staleAfterS(parts.intervalS) ? 'stale' : newest.quality === 'good' ? 'live' : 'fault'
  return { state, celsius: newest.value, at: new Date(newest.timeUs / 1000).toISOString() }
}

/**
 * Ozone that went through the fluid and out again, mg: delivered by the gas less what the fluid holds. Decay in
 * the fluid is not subtracted, so it errs on the high side. Gas taken at 20 °C and 101.3 kPa, ideal.
 */
const ventedMg = (
  batch: Batch,
  measured: MeasuredConditions,
  valueMgL: number | null,
  nowMs: number,
): number | null => {
  const { gas, flow_ml_per_min: recorded } = batch.settings
  const room = { celsius: 20, kpa: 101.325 }
  const normal =
    measured.gasUgPerNml === undefined
      ? gas && toNormal({ ugPerMl: gas.ug_per_ml, reference: gas.reference }, room)
      : ugPerNml(measured.gasUgPerNml)
  const flow = measured.flowMlPerMin ?? recorded
  if (normal === undefined || flow === undefined || batch.ozoneOnAt.length === 0) return null
  const held = ((valueMgL ?? 0) * batch.leftMl) / 1000
  return Math.max(0, (atState(normal, room) * flow * ozoneMinutes(batch, nowMs)) / 1000 - held)
}
