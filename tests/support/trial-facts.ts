import type { BatchFacts } from '../../server/trial/batch-facts.ts'
import { type MemberFacts, memberFacts } from '../../server/trial/member-facts.ts'
import type { Member, PlanChange, Trial, TrialPlan } from '../../server/trial/trial.ts'
import type { BatchSummary } from '../../server/wire.ts'
import { atMinute } from './entries.ts'
import { liveBench } from './live-bench.ts'
import { TRIAL } from './trial.ts'

const deed = (seq: number) => ({
  seq,
  at: atMinute(0),
  who: { name: 'Ines', how: 'typed' as const },
  why: null,
})

export const trialOf = (plan: TrialPlan, changes: readonly PlanChange[] = []): Trial => ({
  ...{ id: TRIAL, plan, planned: deed(1), changes, members: [], closed: null, newestSeq: 1 },
})

type Head = Partial<BatchSummary['head']>

/** A finished batch as planned: what it levels off at, its t95 from zero and half-life, each known to 1 %. */
export const facts = (
  n: number,
  { plateau = 20, t95 = 6, halfLife = 30 }: { plateau?: number; t95?: number; halfLife?: number } = {},
  changes: Partial<BatchFacts> = {},
  head: Head = {},
): BatchFacts => {
  const known = (value: number, calibration = 0) => ({ value, se: 0.01, calibration })
  const { batch } = liveBench()
  if (!batch) throw new Error('a batch was expected')
  return {
    summary: {
      head: {
        ...batch,
        id: `01900000-0000-7000-8000-0000000001${String(n).padStart(2, '0')}`,
        number: `A-${n}`,
        discarded_at: atMinute(60),
        opened_at: atMinute(n * 100),
        ...head,
      },
      ...{ plateau_mg_l: null, t95_min: null, half_life_min: null, half_life_20c_min: null },
      mean_temperature_c: 20,
      measured_against: ['indigo'],
    },
    calibratedIn: ['saline', 'distilled'],
    calibrations: [
      {
        instrument: 'meter-a',
        at: atMinute(-60),
        method: 'indigo',
        slope: 1.02,
        zero: 0,
        u_slope_percent: 2,
      },
    ],
    day: `2026-03-${String(10 + (n % 3)).padStart(2, '0')}`,
    finished: true,
    ...{ temperatureC: 20, gasUgPerNml: 60, flowMlPerMin: 500 },
    plateau: known(plateau, 0.02),
    rate: known(Math.log(20) / t95),
    t95FromZero: known(t95),
    ...{ atLeastMin: undefined, whyNoRise: '', ozoneMin: 9 },
    afterPurge: known(plateau * 0.9, 0.02),
    ...{
      halfLife: known(halfLife),
      halfLife20c: known(halfLife),
      whyNoDecay: '',
      decayMin: 20,
      decayOrder: 1,
      riseSdMgL: 0.2,
      decaySdMgL: 0.15,
    },
    ...changes,
  }
}

export const memberOf = (plan: TrialPlan, own: BatchFacts, more: Partial<Member> = {}): MemberFacts =>
  memberFacts(
    trialOf(plan),
    { batch: own.summary.head.id, how: 'opened', joined: deed(2), excluded: null, ...more },
    own,
  )

export const excluded = deed(9)
