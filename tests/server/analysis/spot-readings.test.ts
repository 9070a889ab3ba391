import { describe, expect, it } from 'vitest'
import { plannedHalfWidth } from '../../../server/analysis/spot-half-life.ts'
import { countSpots, spotCases, spotDecay } from '../../bench/spot-table.ts'

const REPLICATES = 200

const name = (c: (typeof spotCases)[number]) =>
  `${c.readings} of ${c.uPercent} % every ${c.everyMin} min at a half-life of ${c.halfLifeMin} min`

/** 1.96·u/(k·√Σ(t − t̄)²) at a half-life of 30 min; n readings Δ apart have Σ(t − t̄)² = Δ²·n(n² − 1)/12. */
const halfWidthPlanned = ({ readings: n, uPercent, everyMin }: (typeof spotCases)[number]): number =>
  (1.959964 * (uPercent / 100) * 30) / (Math.LN2 * everyMin * Math.sqrt((n * (n * n - 1)) / 12))

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
      // no fewer when intervals are rarely given: giving one only where the fall looks steep held 51 to 90 %
      if (intervals > 0) expect(heldIntervals / intervals).toBeGreaterThanOrEqual(0.9)
      if (halfWidthPlanned(situation) > 0.5) expect(intervals).toBe(0)
      expect(advised).toBe(bounds + refused)
    },
  )

  it('never give a half-life when there is only one, and say what a second would give', () => {
    for (const situation of spotCases.filter((c) => c.readings === 1)) {
      const decay = spotDecay(situation, 1)
      expect(decay).toMatchObject({ status: 'refused', why: 'too-few-readings' })
      expect(decay.half_life_min).toBeUndefined()
    }
    // u(k) = 0.05·√2/10 = 0.00707 per min, k = ln 2/30 = 0.0231: 1.96·0.00707/0.0231 = 60 %; three: 0.05/√200, 30 %
    const [decay] = [spotDecay({ readings: 1, uPercent: 5, everyMin: 10, halfLifeMin: 30 }, 1)]
    expect(decay?.notes).toContain(
      'one more reading, 10 min after the last, would tell a half-life of 30 min to ± 60 %, too wide to be of use; 2 more to ± 30 %',
    )
  })

  it('are judged by their times and stated uncertainty: 38 % and 19 % for four of 5 % every 5 and 10 min', () => {
    const four = { readings: 4, uPercent: 5, halfLifeMin: 30 }
    expect(halfWidthPlanned({ ...four, everyMin: 5 })).toBeCloseTo(0.38, 2)
    const minutes = (everyMin: number) => Float64Array.from({ length: 4 }, (_, i) => 1 + everyMin * i)
    expect(plannedHalfWidth(minutes(5), 5, 30)).toBeCloseTo(0.38, 2)
    expect(plannedHalfWidth(minutes(10), 5, 30)).toBeCloseTo(0.19, 2)
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
