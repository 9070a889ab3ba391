import { describe, expect, it } from 'vitest'
import type { BatchSummary } from '../../server/wire.ts'
import { matchesPlan } from '../../web/trial-matches.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../support/trial.ts'
import { facts } from '../support/trial-facts.ts'

type Head = BatchSummary['head']

const HEAD: Head = {
  ...facts(1).summary.head,
  ...{ fluid: 'saline', volume_ml: 250, flow_ml_per_min: 500, purge: PREP_PLAN.purge, bench: 'A' },
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
}

describe('past batches that match a plan', () => {
  it('are those set up as it says, within its limits', () => {
    expect(matchesPlan(HEAD, PREP_PLAN)).toBe(true)
    expect(matchesPlan({ ...HEAD, volume_ml: 254 }, PREP_PLAN)).toBe(true)
  })

  it.each<Partial<Head>>([
    { fluid: 'distilled' },
    { volume_ml: 260 },
    { flow_ml_per_min: 530 },
    { flow_ml_per_min: null },
    { gas: { ug_per_ml: 64, reference: 'normal-0c-101kpa' } },
    { gas: null },
    { purge: 'none' },
    { bench: 'B' },
  ])('are not those with %o', (change) => {
    expect(matchesPlan({ ...HEAD, ...change }, PREP_PLAN)).toBe(false)
  })

  it('may state their gas for another state, which the server brings to one', () => {
    const other = { ...HEAD, gas: { ug_per_ml: 56, reference: '20c-101kpa' as const } }
    expect(matchesPlan(other, PREP_PLAN)).toBe(true)
  })

  it('are of any group of a comparison, of its lot where it names one', () => {
    const plan = {
      ...COMPARISON_PLAN,
      groups: [{ name: 'a', fluid: 'saline' as const, lot: 'S 1' }, ...COMPARISON_PLAN.groups.slice(1)],
    }
    expect(matchesPlan({ ...HEAD, lot: 'S 1' }, plan)).toBe(true)
    expect(matchesPlan({ ...HEAD, lot: 'S 2' }, plan)).toBe(false)
    expect(matchesPlan({ ...HEAD, fluid: 'distilled' }, plan)).toBe(true)
  })
})
