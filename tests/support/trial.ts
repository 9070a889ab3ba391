import { v7 as uuidv7 } from 'uuid'
import type { TrialChange } from '../../server/trial/change-trial.ts'
import type { ComparisonPlan, PrepTimePlan } from '../../server/trial/trial.ts'
import { atMinute } from './entries.ts'

export const TRIAL = '01900000-0000-7000-8000-0000000000aa'

export const PREP_PLAN: PrepTimePlan = {
  kind: 'prep-time',
  title: 'Saline, 250 mL',
  volume_ml: 250,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 500,
  limits: {
    gas_percent: 5,
    flow_percent: 5,
    volume_percent: 2,
    temperature_low_c: 18,
    temperature_high_c: 22,
  },
  confidence_percent: 95,
  batches: 5,
  days: 3,
  seed: 'spring',
  fluid: 'saline',
  benches: ['A'],
  purge: 'tube-lifted-clear',
  criterion: { kind: 'fraction', percent: 95 },
  coverage_percent: 90,
  target_mg_l: 12,
  prep_min: 9,
}

const {
  fluid: _f,
  benches: _b,
  purge: _p,
  criterion: _c,
  coverage_percent: _q,
  target_mg_l: _t,
  prep_min: _m,
  ...COMMON
} = PREP_PLAN

export const COMPARISON_PLAN: ComparisonPlan = {
  ...COMMON,
  kind: 'fluid-comparison',
  title: 'Saline against distilled',
  groups: [
    { name: 'saline', fluid: 'saline' },
    { name: 'distilled', fluid: 'distilled' },
  ],
  temperature_c: 20,
  margin_percent: 10,
}

/** Something entered for the trial at a minute. */
export const trialChange = (minute: number, more: Partial<TrialChange> = {}): TrialChange => ({
  id: uuidv7(),
  trial: TRIAL,
  who: { name: 'Ines', how: 'typed' },
  why: null,
  nowMs: Date.parse(atMinute(minute)),
  ...more,
})
