import { describe, expect, it } from 'vitest'
import { createRandom, randomFromState } from '../../../ingest/bench-simulator/random.ts'

const COUNT = 100_000

describe('seeded random numbers', () => {
  it('are those of the reference generator from the state 1, 2, 3, 4', () => {
    // Blackman & Vigna, xoshiro128starstar.c version 1.1; the vector is the one in the tests of the rand_xoshiro crate.
    const random = randomFromState([1, 2, 3, 4])
    const expected = [
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ]
    expect(expected.map(() => random.next32())).toEqual(expected)
  })

  it('are the same for the same seed and unlike for seeds next to each other', () => {
    const ten = (seed: number) => {
      const random = createRandom(seed)
      return Array.from({ length: 10 }, () => random.next32())
    }
    expect(ten(7)).toEqual(ten(7))
    expect(ten(7).filter((value, i) => value === ten(8)[i])).toEqual([])
  })

  it('have the moments and the tails of a normal distribution', () => {
    // Normal: mean 0, variance 1, 4.55 % beyond 2; limits are five standard errors at 100,000 draws.
    const random = createRandom(1)
    const draws = Array.from({ length: COUNT }, () => random.normal())
    const mean = draws.reduce((sum, x) => sum + x, 0) / COUNT
    const variance = draws.reduce((sum, x) => sum + x * x, 0) / COUNT
    const beyondTwo = draws.filter((x) => Math.abs(x) > 2).length / COUNT
    expect(Math.abs(mean)).toBeLessThan(5 / Math.sqrt(COUNT))
    expect(Math.abs(variance - 1)).toBeLessThan(5 * Math.sqrt(2 / COUNT))
    expect(Math.abs(beyondTwo - 0.0455)).toBeLessThan(5 * Math.sqrt((0.0455 * 0.9545) / COUNT))
  })
})
