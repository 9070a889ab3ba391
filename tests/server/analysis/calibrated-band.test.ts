import { describe, expect, it } from 'vitest'
import { countCalibrated } from '../../bench/calibrated-coverage.ts'

describe('the live band of a meter whose calibration is off', () => {
  it('holds the truth as often as it says, and would not without the calibration’s own uncertainty', () => {
    const counts = countCalibrated({ sd: 0.2, correlationS: 20, white: 0.3 }, 80)
    for (const { given, held, heldWithout } of counts) {
      expect(given).toBe(80)
      // of 80 at 95 %, fewer than 86 % is 2 in 1000
      expect(held / given).toBeGreaterThanOrEqual(0.86)
      expect(heldWithout / given).toBeLessThan(held / given)
    }
    expect(Math.min(...counts.map((c) => c.heldWithout / c.given))).toBeLessThan(0.5)
  })
})
