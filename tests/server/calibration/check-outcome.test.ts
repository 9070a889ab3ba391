import { describe, expect, it } from 'vitest'
import { withOutcome } from '../../../server/calibration/check-outcome.ts'
import type { CheckInstrument } from '../../../server/wire.ts'

const ICE: CheckInstrument['data'] = {
  kind: 'thermometer',
  instrument: 'T 3',
  reference: 'ice point, distilled water',
  unit: '°C',
  expected: 0,
  u_expected: 0.02,
  found: 0.3,
  u_found: 0.05,
  limit: 0.5,
}

describe('a check', () => {
  it('passes only where the uncertainty of both leaves no doubt', () => {
    // 0.3 with √(0.05² + 0.02²) = 0.0539: 0.3 + 1.645·0.0539 = 0.389
    expect(withOutcome(ICE)).toEqual({ ...ICE, outcome: 'within' })
    expect(withOutcome({ ...ICE, limit: 0.38 }).outcome).toBe('cannot-tell')
    // 0.3 − 0.0886 = 0.2114
    expect(withOutcome({ ...ICE, limit: 0.21 }).outcome).toBe('outside')
    expect(withOutcome({ ...ICE, limit: 0.22 }).outcome).toBe('cannot-tell')
  })

  it('takes an uncertainty that was not stated as none, below the reference as above it', () => {
    const { u_expected: _e, u_found: _f, ...bare } = ICE
    expect(withOutcome({ ...bare, limit: 0.3 }).outcome).toBe('within')
    expect(withOutcome({ ...bare, found: -0.6 }).outcome).toBe('outside')
  })

  it('judges as left by itself', () => {
    expect(withOutcome({ ...ICE, found: 0.7, left: 0.1 })).toMatchObject({
      outcome: 'outside',
      outcome_left: 'within',
    })
  })
})
