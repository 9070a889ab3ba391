import { describe, expect, it } from 'vitest'
import { paceMs } from '../../web/charts/pace.ts'

const MINUTE_MS = 60_000

describe('the pace of a chart', () => {
  it.each([
    ['at its beginning, once a second', 1, 1000],
    ['of twenty minutes, when the newest point is another of its thousand columns further', 20, 1200],
    ['of a whole afternoon, every four seconds and not more slowly', 600, 4000],
  ])('is, %s', (_, minutes, pace) => {
    expect(paceMs(minutes * MINUTE_MS)).toBe(pace)
  })
})
