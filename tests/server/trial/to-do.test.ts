import { describe, expect, it } from 'vitest'
import type { BatchFacts } from '../../../server/trial/batch-facts.ts'
import { trialView } from '../../../server/trial/trial-view.ts'
import type { BatchSummary } from '../../../server/wire.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../../support/trial.ts'
import { facts, memberOf, trialOf } from '../../support/trial-facts.ts'

const PLAN = { ...PREP_PLAN, prep_min: 9.5 }
const NO_RISE = { plateau: undefined, rate: undefined, t95FromZero: undefined }

/** So many batches of a prep time, each changed by its place from 0. */
const seen = (
  count: number,
  change: (i: number) => Partial<BatchFacts> = () => ({}),
  summary: (i: number) => Partial<BatchSummary> = () => ({}),
) => {
  const members = Array.from({ length: count }, (_, i) => {
    const own = facts(i + 1, { t95: 6 + i / 10 }, change(i))
    return memberOf(PLAN, { ...own, summary: { ...own.summary, ...summary(i) } })
  })
  return trialView(trialOf(PLAN), members, [])
}

describe('what cannot be told says what to do', () => {
  it('of two batches', () => {
    const { result, to_do } = seen(2)
    expect(result.answer).toBe('cannot-tell')
    expect(to_do).toEqual([
      'Make 3 more batches by the run order, next: bench A.',
      'Make batches on 1 more day.',
    ])
  })

  it('of one batch without a plateau', () => {
    const { result, to_do } = seen(5, (i) =>
      i === 2 ? { ...NO_RISE, whyNoRise: 'plateau-not-reached' } : {},
    )
    expect(result.answer).toBe('cannot-tell')
    expect(to_do).toEqual([
      expect.stringMatching(/keep ozone on for longer.*leave it out with the reason: A-3\.$/),
    ])
  })

  it('of batches that are all clipped', () => {
    const { to_do } = seen(5, () => ({ ...NO_RISE, whyNoRise: 'clipped' }))
    expect(to_do).toEqual([expect.stringMatching(/a wider range is needed.*: A-1, A-2, A-3, A-4, A-5\.$/)])
  })

  it('of batches measured against different references, and against none', () => {
    const against = (first: string) =>
      seen(5, undefined, (i) => ({ measured_against: [i === 0 ? first : 'indigo'] }))
    expect(against('dpd').to_do).toEqual([expect.stringContaining('one kind of reference')])
    expect(against('uncalibrated').to_do).toEqual([
      expect.stringMatching(/Calibrate the meter before.*A-1\.$/),
    ])
  })

  it('of a batch without a temperature, which has to be made again', () => {
    const { to_do } = seen(5, (i) => (i === 1 ? { temperatureC: undefined } : {}))
    expect(to_do).toEqual([
      'Make 1 more batch by the run order, next: bench A.',
      expect.stringMatching(/wire a thermometer.*: A-2\.$/),
    ])
  })

  it('of a batch that still runs, whose temperature may still come, nothing but that batches are to be made', () => {
    const { members, to_do } = seen(1, () => ({
      finished: false,
      temperatureC: undefined,
      gasUgPerNml: undefined,
    }))
    expect(members[0]).toMatchObject({ off_plan: [], no_number: ['not finished yet'], pooled: false })
    expect(to_do).toEqual([
      'Make 4 more batches by the run order, next: bench A.',
      'Make batches on 3 more days.',
    ])
  })

  it('of a comparison where each fluid had its own bench', () => {
    const members = ['saline', 'distilled'].flatMap((fluid, g) =>
      Array.from({ length: 5 }, (_, i) =>
        memberOf(
          COMPARISON_PLAN,
          facts(
            10 * g + i + 1,
            { plateau: 20 + i / 10 },
            {},
            { fluid: fluid as 'saline', bench: 'AB'[g] ?? 'A' },
          ),
        ),
      ),
    )
    const { result, to_do } = trialView(trialOf(COMPARISON_PLAN), members, [])
    expect(result.answer).toBe('cannot-tell')
    expect(to_do).toEqual([
      expect.stringContaining('Make every group on the same days and at the same benches'),
    ])
  })

  it('of what can be told, nothing', () => {
    const { result, to_do } = seen(5)
    expect([result.answer, to_do]).toEqual(['shown', []])
  })
})
