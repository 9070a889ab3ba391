import { describe, expect, it } from 'vitest'
import { isPooled } from '../../../server/trial/member-facts.ts'
import { minutesOf, reachedAt } from '../../../server/trial/prep-batch.ts'
import { prepTime } from '../../../server/trial/prep-time.ts'
import type { PrepTimePlan } from '../../../server/trial/trial.ts'
import { PREP_PLAN } from '../../support/trial.ts'
import { facts, memberOf } from '../../support/trial-facts.ts'

const MINUTES = [6.1, 5.4, 7.2, 5.9, 6.6]
/** Day 1, 2, 0, 1, 2 of three. */
const members = (plan: PrepTimePlan = PREP_PLAN, change = {}) =>
  MINUTES.map((t95, i) => memberOf(plan, facts(i + 1, { t95, plateau: 20 + i / 10 }, change)))

const found = (plan: Partial<PrepTimePlan> = {}, change = {}) => {
  const whole = { ...PREP_PLAN, ...plan }
  return prepTime(whole, members(whole, change))
}

describe('a prep time', () => {
  it('is shown when the tolerance bound of the time and of the potency lie on the right side', () => {
    // bound 9.0213 min: scipy 1.17.1, as in tolerance-bound.test.ts
    const { answer, sentence, detail } = found({ prep_min: 9.5 })
    expect(detail.minutes.bound?.value).toBeCloseTo(9.021315, 5)
    expect(detail.recommended_min).toBe(9.5)
    expect(detail.criteria.map((c) => c.met)).toEqual([true, true, true])
    expect(answer).toBe('shown')
    expect(sentence).toContain('9.5 min are enough')
    expect(sentence).toContain('5 batches on 3 days, 95 % confidence')
  })

  it('is not shown a shade below the bound', () => {
    const { answer, sentence } = found({ prep_min: 9 })
    expect(answer).toBe('not-shown')
    expect(sentence).toContain('within 9.0 min; 9 min were planned')
  })

  it('is not shown when the time is right and the potency is not', () => {
    const { answer, detail } = found({ prep_min: 9.5, target_mg_l: 18.4 })
    expect(detail.criteria.map((c) => c.met)).toEqual([true, true, false])
    expect(answer).toBe('not-shown')
  })

  it('lowers what is held by the uncertainty that all batches share with the calibration', () => {
    const { potency_off_mg_l } = found().detail
    const { value, with_calibration } = potency_off_mg_l.bound ?? { value: 0, with_calibration: 0 }
    // one-sided 95 %: exp(−1.645·0.02)
    expect((with_calibration ?? 0) / value).toBeCloseTo(Math.exp(-1.645 * 0.02), 6)
  })

  it('cannot be told from fewer batches or days than planned, or with an uncalibrated meter', () => {
    expect(found({ prep_min: 9.5, batches: 6 }).sentence).toContain('5 of the 6 batches planned')
    expect(found({ prep_min: 9.5, days: 4 }).answer).toBe('cannot-tell')
    const summary = { ...facts(1).summary, measured_against: ['uncalibrated'] }
    const uncalibrated = found({ prep_min: 9.5 }, { summary })
    expect(uncalibrated.answer).toBe('cannot-tell')
    expect(uncalibrated.sentence).toContain('the meter is not calibrated')
  })

  it('is not flattered by a batch that was too slow to be timed', () => {
    const slow = memberOf(
      PREP_PLAN,
      facts(6, {}, { t95FromZero: undefined, atLeastMin: 12, whyNoRise: 'plateau-not-reached' }),
    )
    const { answer, sentence } = prepTime({ ...PREP_PLAN, prep_min: 9.5 }, [...members(), slow])
    expect(answer).toBe('not-shown')
    expect(sentence).toContain('A-6 did not reach 95 %')
  })

  it('cannot be told while the time of a batch is missing for another reason', () => {
    const lost = memberOf(PREP_PLAN, facts(6, {}, { t95FromZero: undefined, whyNoRise: 'too-few-readings' }))
    const { answer, sentence } = prepTime({ ...PREP_PLAN, prep_min: 9.5 }, [...members(), lost])
    expect(answer).toBe('cannot-tell')
    expect(sentence).toContain('A-6 (too few readings)')
  })

  it('cannot be told when days differ more than batches of one day', () => {
    const days = [5, 5.05, 5.1, 6.5, 6.55, 6.6, 8, 8.05, 8.1]
    const pooled = days.map((t95, i) =>
      memberOf(PREP_PLAN, facts(i + 1, { t95 }, { day: `2026-03-1${Math.floor(i / 3)}` })),
    )
    const { answer, sentence } = prepTime({ ...PREP_PLAN, prep_min: 20 }, pooled)
    expect(answer).toBe('cannot-tell')
    expect(sentence).toContain('batches of one day resemble each other')
  })

  it('costs more minutes for more confidence and fewer for more batches', () => {
    const { costs } = found().detail
    const at = (confidence: number, batches: number) =>
      costs.find((c) => c.confidence_percent === confidence && c.batches === batches)?.minutes ?? 0
    expect(at(95, 5)).toBeCloseTo(9.021315, 5)
    expect(at(99, 5)).toBeGreaterThan(at(95, 5))
    expect(at(95, 20)).toBeLessThan(at(95, 10))
  })
})

describe('one batch of a prep time', () => {
  it('reaches the target after −ln(1 − target/plateau)/k', () => {
    const plan: PrepTimePlan = { ...PREP_PLAN, criterion: { kind: 'target' } }
    // by hand: k = ln 20/6 = 0.499289; −ln(1 − 12/20)/k = 1.83520
    expect(minutesOf(plan, facts(1)).minutes?.value).toBeCloseTo(1.8352, 4)
    // by hand: 20·(1 − e^(−k·9)) = 20·(1 − 20^(−1.5)) = 19.77639
    expect(reachedAt(facts(1), 9)?.value).toBeCloseTo(19.77639, 5)
  })

  it('never reaches a target above what it levels off at', () => {
    const plan: PrepTimePlan = { ...PREP_PLAN, criterion: { kind: 'target' }, target_mg_l: 20.5 }
    expect(minutesOf(plan, facts(1))).toMatchObject({ minutes: undefined, tooSlow: true })
  })

  it('is kept apart, with the reason in numbers, when it was not made as planned', () => {
    const off = memberOf(
      PREP_PLAN,
      facts(1, {}, { gasUgPerNml: 50, temperatureC: 24 }, { fluid: 'distilled', bench: 'B' }),
    )
    expect(isPooled(off)).toBe(false)
    expect(off.offPlan).toEqual([
      'another fluid: Distilled water',
      'made at bench B, which the plan does not name',
      'gas \u221217 % from the plan, allowed ± 5 %',
      'temperature while bubbling 24.0 °C, planned 18 to 22 °C',
    ])
    expect(isPooled(memberOf(PREP_PLAN, facts(1)))).toBe(true)
  })
})
