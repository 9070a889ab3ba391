import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Decision } from '../../server/wire.ts'
import {
  amountIn,
  BY_HAND_AT_MOST_S,
  drawBasis,
  roundTo,
  SYRINGE_MARKS_ML,
  volumeFor,
} from '../../web/draw-arithmetic.ts'
import type { PotencyShown } from '../../web/potency-shown.ts'
import { fakeBatch, fakePotency, iso } from '../support/fake-bench.ts'

const NOW = Date.parse('2026-03-04T13:00:00Z')
const MEASURED = { value_mg_l: 18.2, low_mg_l: 17.6, high_mg_l: 18.8, at: iso(NOW), age_s: 1 }
const LIVE: PotencyShown = { form: 'live', ...MEASURED }
const basis = { kind: 'usable', value: 18.2, low: 17.6, high: 18.8 } as const

const live = (potency = {}, decision: Decision = 'above') => ({
  potency: fakePotency(NOW, potency),
  decision,
})

const refusal = (shown: PotencyShown, potency = {}, batch = {}, decision: Decision = 'above'): string => {
  const answer = drawBasis(shown, live(potency, decision), fakeBatch(NOW, batch), NOW)
  return answer.kind === 'refused' ? answer.why : 'not refused'
}

describe('the value that arithmetic may stand on', () => {
  it('is a live, calibrated one with a band', () => {
    expect(drawBasis(LIVE, live(), fakeBatch(NOW), NOW)).toEqual(basis)
  })

  it('is refused when old, faulty, clipped or lost with the connection', () => {
    for (const why of [
      'stale',
      'fault',
      'clipped',
      'not-connected',
      'probe-out',
      'settling',
      'no-reading',
    ] as const)
      expect(refusal({ form: 'not-live', why, last: MEASURED, words: null }), why).toMatch(/no live value/)
  })

  it('takes a reading by hand for two minutes by this screen’s own clock, however long the server keeps it', () => {
    const byHand = (age_s: number): PotencyShown => ({ form: 'by-hand', fresh: true, ...MEASURED, age_s })
    expect(refusal(byHand(1))).toBe('not refused')
    expect(refusal(byHand(BY_HAND_AT_MOST_S))).toBe('not refused')
    expect(refusal(byHand(BY_HAND_AT_MOST_S + 1))).toMatch(/^The reading is 2\smin old; .*at most 2\smin/)
    expect(refusal(byHand(Number.NaN))).toMatch(/at most/)
    expect(refusal({ form: 'by-hand', fresh: false, ...MEASURED })).toMatch(/not connected/)
  })

  it('takes a test-kit value where no meter is calibrated, but not one that nothing can be said of', () => {
    const byHand: PotencyShown = { form: 'by-hand', fresh: true, ...MEASURED }
    expect(refusal(byHand, { calibration: null })).toBe('not refused')
    expect(refusal(byHand, { calibration: null }, {}, 'not-calibrated')).toMatch(/not calibrated/)
  })

  it('is refused without a calibration, past the age limit, and without a usable band', () => {
    expect(refusal(LIVE, { calibration: null })).toMatch(/not calibrated/)
    expect(refusal(LIVE, {}, { age_limit_min: 10 })).toMatch(/age limit/)
    expect(refusal({ ...LIVE, low_mg_l: null })).toMatch(/band/)
    expect(refusal({ ...LIVE, low_mg_l: -0.2 })).toMatch(/band/)
  })
})

describe('amount and volume', () => {
  it('gives the amount in a volume as a range', () => {
    // 20 mL × 17.6 and 18.8 µg/mL
    expect(amountIn(basis, 20)).toEqual({ low: 352, high: 376 })
    expect(amountIn(basis, 0)).toBeNull()
    expect(amountIn(basis, Number.NaN)).toBeNull()
  })

  it('rounds the volume to the mark and says what that rounded volume holds', () => {
    // 100 µg ÷ 18.2 µg/mL = 5.4945 mL; nearest 0.2 mL mark 5.4; × 17.6 and 18.8
    const answer = volumeFor(basis, 100, 0.2, 230)
    if (answer.kind !== 'volume') throw new Error(answer.why)
    expect(answer.ml).toBe(5.4)
    expect(answer.exact.low).toBeCloseTo(5.319, 3)
    expect(answer.exact.high).toBeCloseTo(5.682, 3)
    expect(answer.holds_ug.low).toBeCloseTo(95.04, 6)
    expect(answer.holds_ug.high).toBeCloseTo(101.52, 6)
  })

  it('refuses more than is left, less than half a mark, and anything not typed', () => {
    expect(volumeFor(basis, 5000, 1, 230)).toMatchObject({
      kind: 'refused',
      why: expect.stringContaining('230 mL'),
    })
    expect(volumeFor(basis, 1, 1, 230)).toMatchObject({ kind: 'refused' })
    expect(volumeFor(basis, Number.NaN, 1, 230)).toMatchObject({ kind: 'refused' })
    expect(volumeFor(basis, 100, 0, 230)).toMatchObject({ kind: 'refused' })
  })

  it('stays within half a mark of the exact volume, on every syringe', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 60, noNaN: true }),
        fc.constantFrom(...SYRINGE_MARKS_ML),
        (ml, mark) => {
          const off = Math.abs(roundTo(ml, mark) - ml)
          return off <= mark / 2 + 0.0005
        },
      ),
    )
  })
})
