import { describe, expect, it } from 'vitest'
import { printTrial } from '../../../server/report/print/trial-print.ts'
import { trialCsv } from '../../../server/report/trial-csv.ts'
import type { Trial, TrialPlan } from '../../../server/trial/trial.ts'
import { trialView } from '../../../server/trial/trial-view.ts'
import { trialView as schema } from '../../../server/wire/trial-schema.ts'
import type { TrialView } from '../../../server/wire.ts'
import { siteClock } from '../../../server/wording/site-clock.ts'
import { standingWords } from '../../../server/wording/trial-words.ts'
import { fakeCurves } from '../../support/fake-trial.ts'
import { COMPARISON_PLAN, PREP_PLAN } from '../../support/trial.ts'
import { excluded, facts, memberOf, trialOf } from '../../support/trial-facts.ts'

const PLAN: TrialPlan = { ...PREP_PLAN, prep_min: 9.5 }
const MINUTES = [6.1, 5.4, 7.2, 5.9, 6.6]

/** Five as planned, one left out that took 20 min, one too warm. */
const members = () => [
  ...MINUTES.map((t95, i) => memberOf(PLAN, facts(i + 1, { t95 }))),
  memberOf(PLAN, facts(6, { t95: 20 }), { excluded: { ...excluded, why: 'tube slipped off' } }),
  memberOf(PLAN, facts(7, {}, { temperatureC: 25 }), { how: 'selected' }),
]

const shown = (trial: Trial = trialOf(PLAN), own = members()): TrialView => ({
  ...trialView(trial, own, []),
  over_volume: [],
  ...{ simulated: false, ledger_entries: 12, ledger_head: 'f'.repeat(64) },
})

describe('a trial as it is shown', () => {
  it('is what the API says it is', () => {
    expect(schema.safeParse(shown()).success).toBe(true)
    const comparison = trialView(trialOf(COMPARISON_PLAN), [memberOf(COMPARISON_PLAN, facts(1))], [])
    expect(schema.safeParse({ ...shown(), ...comparison }).success).toBe(true)
  })

  it('gives the answer without and with the batch that was left out', () => {
    const { result, with_excluded } = shown()
    expect([result.answer, result.pooled]).toEqual(['shown', 5])
    expect([with_excluded?.answer, with_excluded?.pooled]).toEqual(['not-shown', 6])
  })

  it('keeps every batch in sight, each with why it does not count', () => {
    const words = shown().members.map(standingWords)
    expect(words.slice(0, 5)).toEqual(Array.from({ length: 5 }, () => 'counts'))
    expect(words[5]).toContain('does not count; left out by Ines: tube slipped off')
    expect(words[6]).toContain('off plan: temperature while bubbling 25.0 °C, planned 18 to 22 °C')
  })

  it('flags one that lies apart and keeps it', () => {
    const own = [...MINUTES, 6, 6.2, 5.8, 6.3, 19].map((t95, i) => memberOf(PLAN, facts(i + 1, { t95 })))
    const view = shown(trialOf(PLAN), own)
    expect(view.result.pooled).toBe(10)
    expect(view.members[9]?.flags).toContain('Time needed: lies apart from the others')
    expect(view.result.charts[0]?.outside).toContain('A-10')
  })

  it('says that the plan was changed after batches belonged to it', () => {
    const change = { deed: excluded, before: { ...PLAN, prep_min: 8 }, after: PLAN, batchesThen: 3 }
    const view = shown(trialOf(PLAN, [change]))
    expect(view.changes[0]?.changed).toEqual(['prep_min: 8 becomes 9.5'])
    expect(view.result.cautions).toContain('the plan was changed once after batches belonged to the trial')
  })

  it('says nothing certain of a trial without batches', () => {
    const view = shown(trialOf(PLAN), [])
    expect(view.result.answer).toBe('cannot-tell')
    expect(view.result.sentence).toContain('0 of the 5 batches planned are there')
  })

  it('is a table with every batch under its answer, and a document of several pages', async () => {
    const lines = [...trialCsv(shown())].join('').trim().split('\r\n')
    expect(lines.filter((l) => !l.startsWith('#'))).toHaveLength(8)
    expect(lines[1]).toContain('answer: shown. 9.5 min are enough')
    const pdf = await printTrial({
      ...{ trial: shown(), curves: fakeCurves(), clock: siteClock('UTC'), site: 'Example', paper: 'a4' },
      at: '2026-03-20T10:00:00.000Z',
    })
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-')
    expect(Number(/\/Count (\d+)/.exec(pdf.toString('latin1'))?.[1])).toBeGreaterThan(1)
  })
})
