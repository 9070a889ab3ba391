import { describe, expect, it } from 'vitest'
import { liveEstimate } from '../../../server/analysis/live.ts'
import { batchInput, WHOLE, withoutLag } from './batch-input.ts'

const SD = 0.05
const MOST = 60
const quiet = { stretches: WHOLE, noise: { sd: SD, correlationS: 0, white: 1 }, seed: 7 }

const seenOf = (input: ReturnType<typeof batchInput>, kind: 'rise' | 'decay') => {
  const found = liveEstimate(input, 40, MOST).curves.find((c) => c.kind === kind)
  if (!found) throw new Error(`no ${kind}`)
  return found.seen
}
const rms = (values: readonly number[]) => Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length)

describe('what a fit leaves of its readings', () => {
  it.each(['rise', 'decay'] as const)('is the noise of a %s, at most so many readings of it', (kind) => {
    const seen = seenOf(batchInput(quiet), kind)
    expect(seen.minutes).toHaveLength(MOST)
    // of 60 readings of noise 0.05 the root mean square lies within a third of it (four standard errors)
    expect(rms(seen.residuals)).toBeGreaterThan(SD * 0.66)
    expect(rms(seen.residuals)).toBeLessThan(SD * 1.34)
  })

  it('stays noise behind a probe whose lag is known, from the first readings on', () => {
    const seen = seenOf(batchInput({ ...quiet, lagS: 20 }), 'rise')
    expect(Math.max(...seen.residuals.map(Math.abs))).toBeLessThan(5 * SD)
  })

  it('is of the later readings only where the lag is not known and the start is bent', () => {
    const seen = seenOf(withoutLag(batchInput({ ...quiet, lagS: 20 })), 'rise')
    expect(seen.minutes[0]).toBeGreaterThan(0.3)
    expect(rms(seen.residuals)).toBeLessThan(2 * SD)
  })

  it('is not worked out for a live bench, which draws no residuals', () => {
    for (const curve of liveEstimate(batchInput(quiet), 40).curves) expect(curve.seen.minutes).toEqual([])
  })
})
