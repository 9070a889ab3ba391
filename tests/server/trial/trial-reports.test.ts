import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { liveEstimate } from '../../../server/analysis/live.ts'
import type { Batch } from '../../../server/ledger/batch.ts'
import { type KeptFacts, openKeptFacts } from '../../../server/trial/kept-facts.ts'
import type { Member, Trial } from '../../../server/trial/trial.ts'
import { TrialReports } from '../../../server/trial/trial-reports.ts'
import { atMinute } from '../../support/entries.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'
import { PREP_PLAN } from '../../support/trial.ts'
import { facts, trialOf } from '../../support/trial-facts.ts'
import { batchInput, WHOLE } from '../analysis/batch-input.ts'

const COUNT = 12
const { analysis, curves } = liveEstimate(batchInput({ stretches: WHOLE, seed: 3 }), 20, 20)
const idOf = (n: number) => `01900000-0000-7000-8000-${String(n).padStart(12, '0')}`

/** A trial of twelve finished batches, whose working out is counted and takes at least so long, ms. */
const create = ({
  kept,
  takesMs = 0,
  failing = '',
  now = Date.parse(atMinute(120)),
}: {
  kept: KeptFacts
  takesMs?: number
  failing?: string
  now?: number
}) => {
  const worked: string[] = []
  const keys = new Map<string, string>()
  const batch = (id: string) =>
    ({
      ...{ id, openedAt: atMinute(0), discardedAt: atMinute(60), entries: [], undone: new Set(), bench: 'A' },
      settings: { number: id },
    }) as unknown as Batch
  const reports = new TrialReports({
    ledger: { head: () => ({ entries: 1, head: 'h' }), ofKind: () => [] },
    reports: {
      batch,
      keyOf: ({ id }) => keys.get(id) ?? 'first',
      calibrationsUsed: () => [],
      summary: () => facts(1).summary,
      analysed: ({ id }) => {
        if (id === failing) throw new Error('its readings cannot be read')
        worked.push(id)
        const until = performance.now() + takesMs
        while (performance.now() < until);
        return { analysis, conditions: {}, curves }
      },
    },
    rulesOfThumb: () => [],
    ...{ zone: 'UTC', version: 'test', kept, now: () => now },
  })
  const members = Array.from({ length: COUNT }, (_, i): Member => {
    const joined = { seq: i, at: atMinute(0), who: { name: 'Ines', how: 'typed' as const }, why: null }
    return { batch: idOf(i), how: 'opened', joined, excluded: null }
  })
  const trial: Trial = { ...trialOf(PREP_PLAN), members }
  return { reports, trial, worked, keys }
}

const LONG_MS = 30_000
const file = () => {
  const home = temporaryFolder()
  const open = () => openKeptFacts(home, 'real', (error) => expect.fail(String(error)))
  return { home, open }
}

describe('a trial of many batches', () => {
  it('tells how far it is and lets everything else in between', async () => {
    const { reports, trial } = create({ kept: file().open(), takesMs: 10 })
    onTestFinished(() => reports.close())
    expect((await reports.ready(trial, 0)).done).toBeLessThan(COUNT)
    let turns = 0
    const timer = setInterval(() => {
      turns += 1
    }, 1)
    expect(await reports.ready(trial, LONG_MS)).toEqual({ done: COUNT, of: COUNT })
    clearInterval(timer)
    // at least one turn of everything else for each batch that was still to be worked out
    expect(turns).toBeGreaterThanOrEqual(COUNT / 2)
  })

  it('works each batch out once, also after a start, until its record changes', async () => {
    const kept = file()
    const first = create({ kept: kept.open() })
    await first.reports.ready(first.trial, LONG_MS)
    first.reports.view(first.trial, [])
    expect(first.worked).toHaveLength(COUNT)
    first.reports.close()
    const second = create({ kept: kept.open() })
    onTestFinished(() => second.reports.close())
    expect((await second.reports.ready(second.trial, 0)).done).toBe(COUNT)
    const seen = second.reports.curves(second.reports.batchesOf(second.trial)[0]?.batch as Batch)
    expect(seen.rise?.seen).toHaveLength(20)
    expect(second.worked).toEqual([])
    second.keys.set(idOf(4), 'changed')
    await second.reports.ready(second.trial, LONG_MS)
    expect(second.worked).toEqual([idOf(4)])
  })

  it('says of a prep time whose last batch is over a year old that it is to be proven again', () => {
    const due = (days: number) => {
      const now = Date.parse(atMinute(0)) + days * 86_400_000
      const { reports, trial } = create({ kept: file().open(), now })
      onTestFinished(() => reports.close())
      const { detail } = reports.view(trial, []).result
      return detail.kind === 'prep-time' ? detail.revalidate_now : []
    }
    expect(due(300).filter((d) => d.includes('year'))).toEqual([])
    expect(due(400)).toContainEqual(expect.stringMatching(/^the last batch, on .* is over a year old$/))
  })

  it('is the same kept and worked out', () => {
    const kept = file()
    const first = create({ kept: kept.open() })
    const view = first.reports.view(first.trial, [])
    first.reports.close()
    const second = create({ kept: kept.open() })
    onTestFinished(() => second.reports.close())
    expect(second.reports.view(second.trial, [])).toEqual(view)
  })

  it('says why when one of them cannot be worked out, and does not wait for it', async () => {
    const { reports, trial } = create({ kept: file().open(), failing: idOf(3) })
    onTestFinished(() => reports.close())
    expect(await reports.ready(trial, LONG_MS)).toEqual({ done: COUNT, of: COUNT })
    expect(() => reports.view(trial, [])).toThrow('its readings cannot be read')
  })

  it('goes without a file where none can be made', async () => {
    const troubles: unknown[] = []
    const nowhere = join(temporaryFolder(), 'a-file')
    writeFileSync(nowhere, '')
    const kept = openKeptFacts(nowhere, 'real', (error) => troubles.push(error))
    const { reports, trial, worked } = create({ kept })
    await reports.ready(trial, LONG_MS)
    reports.view(trial, [])
    expect(worked).toHaveLength(COUNT)
    expect(troubles).toHaveLength(1)
  })
})
