import { describe, expect, it } from 'vitest'
import { overVolume } from '../../../server/trial/over-volume.ts'
import type { PrepTimePlan } from '../../../server/trial/trial.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../../support/trial.ts'
import { facts, memberOf, trialOf } from '../../support/trial-facts.ts'

const trial = (id: string, changes: Partial<PrepTimePlan>) => ({
  ...trialOf({ ...PREP_PLAN, ...changes }),
  id,
})
const SMALL = trial('small', { volume_ml: 100, prep_min: 5 })
const OWN = trial('own', { volume_ml: 250 })
const LARGE = trial('large', { volume_ml: 500, prep_min: 18 })
const OTHER_GAS = trial('gas', { volume_ml: 750, gas: { ug_per_ml: 70, reference: 'normal-0c-101kpa' } })
const EMPTY = trial('empty', { volume_ml: 1000 })
const UNKNOWN = trial('unknown', { volume_ml: 2000 })
const FLUIDS = { ...trialOf(COMPARISON_PLAN), id: 'fluids' }

const T95: Readonly<Record<string, number>> = { small: 3, own: 6, large: 11, gas: 8 }
const membersOf = ({ id, plan }: typeof OWN) => {
  const t95 = T95[id]
  if (id === 'unknown') return undefined
  return t95 === undefined
    ? []
    : [0.95, 1, 1.05].map((f, i) =>
        memberOf(plan, facts(i + 1, { t95: f * t95 }, {}, { volume_ml: plan.volume_ml })),
      )
}

describe('prep time over volume', () => {
  it('holds the trials of one setting, smallest volume first, those without numbers left out', () => {
    const points = overVolume(OWN, [LARGE, OTHER_GAS, EMPTY, UNKNOWN, FLUIDS, SMALL, OWN], membersOf)
    expect(points.map((p) => [p.trial, p.volume_ml, p.batches])).toEqual([
      ['small', 100, 3],
      ['own', 250, 3],
      ['large', 500, 3],
    ])
    for (const p of points) {
      expect(p.typical_min).toBeCloseTo(T95[p.trial] ?? Number.NaN, 1)
      expect(p.bound_min).toBeGreaterThan(p.typical_min)
    }
  })

  it('is empty with one volume, and for a comparison', () => {
    expect(overVolume(OWN, [OWN, EMPTY], membersOf)).toEqual([])
    expect(overVolume(FLUIDS, [OWN, LARGE], membersOf)).toEqual([])
  })
})
