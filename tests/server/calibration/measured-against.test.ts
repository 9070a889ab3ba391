import { describe, expect, it } from 'vitest'
import { referenceOf, sameReference } from '../../../server/calibration/measured-against.ts'
import type { Batch } from '../../../server/ledger/batch.ts'
import { overEquilibrium, pastOf } from '../../../server/report/clinic-history.ts'
import type { BatchSummary } from '../../../server/wire.ts'
import { differentReferences } from '../../../web/references.ts'
import { atMinute } from '../../support/entries.ts'
import { CALIBRATED, measuredBatch } from '../../support/measured-batch.ts'

describe('what values are measured against', () => {
  it('is the kind of reference, and for UV its ε too', () => {
    expect(referenceOf(CALIBRATED)).toBe('reference not stated')
    expect(referenceOf({ ...CALIBRATED, reference_method: 'indigo', f_l_per_mg_cm: 0.4 })).toBe('indigo')
    expect(referenceOf({ ...CALIBRATED, reference_method: 'uv', epsilon_per_m_cm: 3000 })).toBe('uv, ε 3000')
  })

  it('is the same only when all of it is', () => {
    expect(sameReference(['indigo'], ['indigo'])).toBe(true)
    expect(sameReference(['indigo', 'dpd'], ['dpd', 'indigo'])).toBe(true)
    expect(sameReference(['indigo'], ['uv, ε 3000'])).toBe(false)
    expect(sameReference(['indigo'], ['indigo', 'dpd'])).toBe(false)
  })
})

const estimate = (value: number) => ({ value, low: null, high: null, bound: null, why: null })
const past = (minute: number, reference: string, plateau: number) => {
  const batch = {
    id: `b${minute}`,
    bench: 'A',
    openedAt: atMinute(minute),
    discardedAt: atMinute(minute + 30),
    settings: { fluid: 'saline', volume_ml: 250, flow_ml_per_min: 500 },
  } as unknown as Batch
  const summary = {
    head: {
      fluid: 'saline',
      volume_ml: 250,
      flow_ml_per_min: 500,
      gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
    },
    plateau_mg_l: estimate(plateau),
    half_life_min: estimate(30),
    half_life_20c_min: estimate(30 + minute / 1000),
    mean_temperature_c: 20,
    measured_against: [reference],
  } as unknown as BatchSummary
  return { batch, summary }
}

describe('the clinic’s own batches beside this one', () => {
  it('give a plateau only where they were measured against the same reference, and a half-life always', () => {
    const now = past(1000, 'indigo', 0).batch
    const earlier = [20, 20.5, 21].map((p, i) => past(i, 'indigo', p))
    const others = [17, 17.5].map((p, i) => past(10 + i, 'uv, ε 3000', p))
    const all = [...others, ...earlier]
    const { history, otherReference } = pastOf(now, {
      batches: () => all.map((a) => a.batch),
      outcome: (batch) => ({
        summary: all.find((a) => a.batch === batch)?.summary as BatchSummary,
        noise: undefined,
      }),
      measuredAgainst: () => ['indigo'],
    })
    expect(otherReference).toBe(2)
    expect(history?.batches).toBe(5)
    // geometric mean of 20, 20.5, 21
    const equilibrium = 1 / (overEquilibrium(past(0, 'indigo', 1).summary) ?? Number.NaN)
    expect(equilibrium * Math.exp(history?.plateauOverEquilibrium?.meanLog ?? 0)).toBeCloseTo(
      (20 * 20.5 * 21) ** (1 / 3),
      10,
    )
    expect(history?.singles?.filter((s) => s.plateauMgPerL !== undefined).length).toBe(3)
    expect(history?.singles?.filter((s) => s.halfLifeMin !== undefined).length).toBe(5)
  })
})

describe('a list of batches', () => {
  it('names the references as soon as there is more than one among those with a plateau', () => {
    const rows = [past(0, 'indigo', 20), past(1, 'uv, ε 3000', 17)].map((p) => p.summary)
    expect(differentReferences(rows)).toEqual(['indigo', 'uv, ε 3000'])
    expect(differentReferences(rows.slice(0, 1))).toEqual(['indigo'])
    const none = rows.map((r) => ({ ...r, plateau_mg_l: null }))
    expect(differentReferences(none)).toEqual([])
  })
})

describe('a batch that spans a change of reference', () => {
  it('names both', () => {
    const { read } = measuredBatch([
      [-600, { reference_method: 'indigo' }],
      [4, { reference_method: 'uv', epsilon_per_m_cm: 3000 }],
    ])
    expect(
      read()
        .tally.all()
        .map((u) => referenceOf(u.by.data)),
    ).toEqual(['indigo', 'uv, ε 3000'])
  })
})
