import { describe, expect, it } from 'vitest'
import { countSpots, spotCases, spotDecay } from '../../bench/spot-table.ts'

const REPLICATES = 200

const name = (c: (typeof spotCases)[number]) =>
  `${c.readings} of ${c.uPercent} % every ${c.everyMin} min at a half-life of ${c.halfLifeMin} min`

describe('a few spot readings', () => {
  it.each(spotCases.filter((c) => c.readings > 1).map((c) => ({ name: name(c), situation: c })))(
    'give an interval or a bound that holds the truth as often as it says: $name',
    ({ situation }) => {
      const { heldIntervals, heldBounds, intervals, bounds, refused, advised } = countSpots(
        situation,
        REPLICATES,
      )
      // of 200 at 95 %, fewer than 90 % is 3 in 1000
      expect((heldIntervals + heldBounds) / (intervals + bounds)).toBeGreaterThanOrEqual(0.9)
      expect(advised).toBe(bounds + refused)
    },
  )

  it('never give a half-life when there is only one, and say what a second would give', () => {
    for (const situation of spotCases.filter((c) => c.readings === 1)) {
      const decay = spotDecay(situation, 1)
      expect(decay).toMatchObject({ status: 'refused', why: 'too-few-readings' })
      expect(decay.half_life_min).toBeUndefined()
    }
    // u 5 %, 10 min apart: u(k) = 0.05·√2/10 = 0.00707 per min; s = asinh(0.5)/1.96 = 0.2455, judged one standard
    // error lower: k ≥ 0.00707·(1 + s)/s = 0.0359 per min, which is a half-life of 19.3 min
    const [decay] = [spotDecay({ readings: 1, uPercent: 5, everyMin: 10, halfLifeMin: 30 }, 1)]
    expect(decay?.notes).toContain(
      'one more reading, 10 min after the last, would tell a half-life of up to 19 min',
    )
  })

  it('give the half-life once they reach far enough', () => {
    const { intervals, heldIntervals } = countSpots(
      { readings: 4, uPercent: 5, everyMin: 10, halfLifeMin: 30 },
      REPLICATES,
    )
    expect(intervals / REPLICATES).toBeGreaterThan(0.9)
    expect(heldIntervals / intervals).toBeGreaterThanOrEqual(0.9)
  })
})
