import { describe, expect, it } from 'vitest'
import { filledRuns, nextRun, plannedRuns, type RunBatch } from '../../../server/trial/runs.ts'
import { atMinute } from '../../support/entries.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../../support/trial.ts'

const batch = (n: number, more: Partial<RunBatch> = {}): RunBatch => ({
  ...{ number: `A-${n}`, openedAt: atMinute(n), bench: 'A', group: null, selected: false },
  ...more,
})
const TWO_BENCHES = { ...COMPARISON_PLAN, benches: ['A', 'B'], batches: 4 }

describe('the runs of a plan', () => {
  it('name the bench of each batch of a prep time', () => {
    const runs = plannedRuns({ ...PREP_PLAN, benches: ['A', 'B'], batches: 5 })
    expect(runs).toHaveLength(6)
    for (const run of runs) expect(run.what).toBe(`bench ${run.bench}`)
  })

  it('make each block of a comparison at one bench, so that every bench makes every fluid', () => {
    const runs = plannedRuns(TWO_BENCHES)
    for (const block of [1, 2, 3, 4]) {
      const own = runs.filter((r) => r.block === block)
      expect(new Set(own.map((r) => r.bench)).size).toBe(1)
      expect(own.map((r) => r.group).sort()).toEqual(['distilled', 'saline'])
    }
    expect(runs.filter((r) => r.bench === 'A')).toHaveLength(4)
    expect(runs[0]?.what).toBe(`${runs[0]?.group}, bench ${runs[0]?.bench}`)
  })

  it('are filled in the order of opening, each by the first batch that fits', () => {
    const [first, second] = plannedRuns(TWO_BENCHES)
    const own = (n: number, run = first) => batch(n, { bench: run?.bench ?? '', group: run?.group ?? null })
    const runs = filledRuns(TWO_BENCHES, [own(9, second), own(3)])
    expect(runs.slice(0, 3).map((r) => [r.batch, r.in_turn])).toEqual([
      ['A-3', true],
      ['A-9', true],
      [null, null],
    ])
    expect(nextRun(runs)?.run).toBe(3)
  })

  it('say which batch was made before its turn', () => {
    const runs = plannedRuns(COMPARISON_PLAN)
    const other = runs.find((r) => r.group !== runs[0]?.group)
    const found = filledRuns(COMPARISON_PLAN, [batch(1, { group: other?.group ?? null })])
    expect(found.find((r) => r.batch === 'A-1')?.in_turn).toBe(false)
    expect(nextRun(found)?.run).toBe(1)
  })

  it('take one of the past in without saying that it was in turn or out of it', () => {
    const runs = filledRuns(PREP_PLAN, [batch(1, { selected: true })])
    expect([runs[0]?.batch, runs[0]?.in_turn]).toEqual(['A-1', null])
  })

  it('leave out what fits none of them, and end when all are made', () => {
    expect(nextRun(filledRuns(PREP_PLAN, [batch(1, { bench: 'Z' })]))?.run).toBe(1)
    const all = Array.from({ length: PREP_PLAN.batches + 1 }, (_, i) => batch(i))
    expect(nextRun(filledRuns(PREP_PLAN, all))).toBeNull()
  })
})
