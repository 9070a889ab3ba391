import { v7 as uuidv7 } from 'uuid'
import { foldBatch } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { joinBatch, planTrial } from '../trial/change-trial.ts'
import type { TrialPlan } from '../trial/trial.ts'
import { distilledSettings, PEOPLE, salineSettings } from './clinic.ts'

/** The invented trials of the demonstration: one batches are opened for, one made of batches that were there. */

/** Cold saline is opened for this one. */
export const PREP_TIME_TRIAL = '01900000-0000-7000-8000-0000000d0101'
const FLUIDS_TRIAL = '01900000-0000-7000-8000-0000000d0102'

const LEAD = PEOPLE[2]
const DAY_MS = 86_400_000
const LIMITS = { gas_percent: 5, flow_percent: 5, volume_percent: 2 }

const prepTime = (): TrialPlan => {
  const { volume_ml, gas, flow_ml_per_min, purge, prep_min, target_mg_l } = salineSettings
  if (!gas || !flow_ml_per_min || !purge || !prep_min || !target_mg_l)
    throw new Error('the sheet is complete')
  return {
    kind: 'prep-time',
    title: 'Cold saline 250 mL: are 7 min enough? (simulated)',
    ...{ fluid: 'saline', volume_ml, gas, flow_ml_per_min, purge, prep_min, target_mg_l, benches: ['A'] },
    measuring_place: salineSettings.measuring_place,
    limits: { ...LIMITS, temperature_low_c: 4, temperature_high_c: 14 },
    ...{ confidence_percent: 95, coverage_percent: 90, batches: 10, days: 5, seed: 'demonstration-a' },
    criterion: { kind: 'fraction', percent: 95 },
  }
}

const fluids = (): TrialPlan => {
  const { volume_ml, gas, flow_ml_per_min, purge, prep_min } = distilledSettings
  if (!gas || !flow_ml_per_min || !purge || !prep_min) throw new Error('the sheet is complete')
  return {
    kind: 'fluid-comparison',
    title: 'Distilled or filtered water: which lasts longer? (simulated)',
    ...{ volume_ml, gas, flow_ml_per_min, purge, prep_min, benches: ['B'] },
    measuring_place: distilledSettings.measuring_place,
    limits: { ...LIMITS, temperature_low_c: 17, temperature_high_c: 23 },
    ...{ confidence_percent: 95, batches: 7, days: 5, seed: 'demonstration-b' },
    ...{ temperature_c: 20, margin_percent: 10 },
    groups: [
      { name: 'Distilled', fluid: 'distilled' },
      { name: 'Filtered', fluid: 'filtered' },
    ],
  }
}

/** Before the first invented batch: the plans. */
export const planDemoTrials = (ledger: Ledger, atMs: number): void => {
  const change = (trial: string) => ({ ...by(atMs, null), trial })
  planTrial(ledger, change(PREP_TIME_TRIAL), prepTime())
  planTrial(ledger, change(FLUIDS_TRIAL), fluids())
}

/** After the last: those that were made under the same settings without being opened for a trial. */
export const joinDemoBatches = (ledger: Ledger, nowMs: number): void => {
  for (const { batch } of ledger.ofKind('batch-opened')) {
    const found = batch === null ? undefined : foldBatch(ledger.ofBatch(batch))
    if (!found || found.discardedAt === null || found.bench !== 'B') continue
    const why = 'made under the settings of the plan, before anybody had looked at the results'
    joinBatch(ledger, { ...by(nowMs - DAY_MS / 4, why), trial: FLUIDS_TRIAL }, found.id)
  }
}

const by = (nowMs: number, why: string | null) => ({
  ...{ id: uuidv7(), nowMs, why },
  who: { name: LEAD, how: 'typed' as const },
})
