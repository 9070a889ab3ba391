import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { KeptResults, resultsFile, resultsKeptBefore } from '../../../ingest/store/kept-results.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { liveEstimate } from '../../../server/analysis/live.ts'
import type { Batch } from '../../../server/ledger/batch.ts'
import { Ledger } from '../../../server/ledger/ledger.ts'
import { BatchReports } from '../../../server/report/batch-report.ts'
import { pastOf } from '../../../server/report/clinic-history.ts'
import { keptDocuments } from '../../../server/report/kept-document.ts'
import { createResultKeeper } from '../../../server/report/result-keeper.ts'
import { pastBatches } from '../../../server/seed/history-plans.ts'
import { writeBatch } from '../../../server/seed/write-batch.ts'
import { newEntry } from '../../support/entries.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const HOUR_MS = 3_600_000
const OPENED_MS = Date.parse('2026-03-02T09:00:00Z')
const [PLAN] = pastBatches().map((p) => p.plan)
if (PLAN === undefined) throw new Error('a plan was expected')
const LASTS_MS = 1000 * (PLAN.steps.at(-1)?.atS ?? 0)

/** Three simulated batches at one bench, a day apart, and the keeper beside them. */
const create = (batches = 3) => {
  const home = temporaryFolder()
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const ledger = new Ledger(join(home, 'ledger.db'), 'real')
  const results = new KeptResults(resultsFile(home), 'real')
  onTestFinished(() => {
    store.db.close()
    ledger.close()
    results.close()
  })
  const series = { bench: PLAN.bench, instrument: `meter-${PLAN.bench.toLowerCase()}`, site: 'Example' }
  const wired = { ...series, port: 'p', intervalS: 1, fullScale: null, wired: true }
  store.wire([
    { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
    { ...wired, channel: 'fluid-temperature', unit: '°C' },
  ])
  for (let day = 0; day < batches; day++) {
    const openedMs = OPENED_MS + day * 24 * HOUR_MS
    const whole = { plan: PLAN, openedMs, untilMs: openedMs + 10 * HOUR_MS, who: 'Ines' }
    writeBatch({ store, ledger, zone: 'UTC' }, whole)
  }
  const clock = { nowMs: OPENED_MS + (batches - 1) * 24 * HOUR_MS + LASTS_MS + 60_000 }
  const trouble: string[] = []
  const onTrouble = (error: unknown) => void trouble.push(String(error))
  const newReports = () =>
    new BatchReports({
      store,
      ledger,
      programVersion: '1.2.3',
      estimator: liveEstimate,
      rulesOfThumb: () => [],
      simulated: () => false,
      nowMs: () => clock.nowMs,
      kept: keptDocuments(results, ledger, onTrouble),
    })
  const newKeeper = (reports = newReports()) => {
    const { step } = createResultKeeper({
      ledger,
      reports,
      results,
      programVersion: '1.2.3',
      nowMs: () => clock.nowMs,
      onTrouble,
    })
    return { step, pass: () => until(() => step() === IDLE_MS) }
  }
  const kept = () => Number(results.db.prepare('SELECT count(*) FROM result').pluck().get())
  const entries = () => ledger.ofKind('results-kept')
  const removeBefore = (ms: number) => store.prune(timeUs(ms * 1000))
  return {
    ...{ home, store, ledger, results, clock, trouble, newReports, newKeeper, kept, entries, removeBefore },
    batch: (nth: number): Batch => {
      const found = [...newReports().batches()].reverse()[nth]
      if (!found) throw new Error('no such batch')
      return found
    },
  }
}

/** What the keeper asks for when it has nothing to do. */
const IDLE_MS = 60_000

const until = (done: () => boolean): void => {
  for (let steps = 0; steps < 1000; steps++) if (done()) return
  throw new Error('it never comes to an end')
}

const LONG_AFTER_MS = OPENED_MS + 100 * 24 * HOUR_MS

describe('results of batches whose raw readings are removed', () => {
  it('are the same afterwards, to the last digit, in record, analysis, list and what later batches learn', async () => {
    const site = create()
    site.clock.nowMs = LONG_AFTER_MS
    const before = site.newReports()
    const batch = site.batch(1)
    const record = before.record(batch)
    expect(record.fits.map((f) => f.kind)).toEqual(['rise', 'purge', 'decay'])
    expect(record.summary.half_life_min?.value).toBeGreaterThan(5)
    expect(record.results_kept).toBeNull()
    const was = {
      analysis: before.analysis(batch),
      summary: before.summary(batch),
      past: pastOf(site.batch(2), before),
    }
    site.newKeeper().pass()
    await site.removeBefore(LONG_AFTER_MS)

    const after = site.newReports()
    const { readings_removed_before, results_kept, review, entries, ledger_head, ledger_entries, ...found } =
      after.record(batch)
    expect(review).toBeNull()
    expect(readings_removed_before).toBe(new Date(LONG_AFTER_MS).toISOString())
    expect(results_kept).toEqual({ at: new Date(LONG_AFTER_MS).toISOString(), newer_entries: false })
    const { worked_from } = found
    expect(found).toEqual({
      summary: record.summary,
      fits: record.fits,
      verdicts: record.verdicts,
      notes: record.notes,
      gaps: record.gaps,
      calibration: record.calibration,
      curves: record.curves,
      worked_from: {
        ...record.worked_from,
        ledger_entries: worked_from.ledger_entries,
        command: worked_from.command,
      },
    })
    expect(entries).toEqual(record.entries)
    expect(ledger_entries).toBe(site.ledger.head().entries)
    expect(ledger_head).toBe(site.ledger.head().head)
    expect(after.analysis(batch)).toEqual(was.analysis)
    expect(after.summary(batch)).toEqual(was.summary)
    expect(pastOf(site.batch(2), after)).toEqual(was.past)
  })

  it('are not there for a batch whose readings went before; nothing is made up', async () => {
    const site = create()
    site.clock.nowMs = LONG_AFTER_MS
    await site.removeBefore(OPENED_MS + 12 * HOUR_MS)
    site.newKeeper().pass()
    expect(site.kept()).toBe(2)
    const record = site.newReports().record(site.batch(0))
    expect([record.results_kept, record.summary.half_life_min]).toEqual([null, null])
  })

  it('say so when an entry was made since', async () => {
    const site = create(1)
    site.clock.nowMs = LONG_AFTER_MS
    site.newKeeper().pass()
    await site.removeBefore(LONG_AFTER_MS)
    const { id } = site.batch(0)
    site.ledger.append(newEntry('note', 0, { text: 'seen again' }, { batch: id }))
    const record = site.newReports().record(site.batch(0))
    expect(record.results_kept?.newer_entries).toBe(true)
    expect(record.entries.at(-1)?.data).toEqual({ text: 'seen again' })
  })

  it('are not used when they are not the ones whose hash stands in the record', async () => {
    const site = create(1)
    site.clock.nowMs = LONG_AFTER_MS
    site.newKeeper().pass()
    await site.removeBefore(LONG_AFTER_MS)
    site.results.db.exec('DROP TRIGGER result_fixed')
    site.results.db.exec(`UPDATE result SET document = replace(document, '"bound":null', '"bound": null')`)
    expect(site.newReports().record(site.batch(0)).results_kept).toBeNull()
    expect(site.trouble.join()).toContain('are not those that the record names')
  })
})

describe('the keeper of results', () => {
  it('waits for an hour after the discard, and keeps each batch once, with its hash in the record', () => {
    const site = create()
    const keeper = site.newKeeper()
    keeper.pass()
    expect([site.kept(), site.entries().length]).toEqual([2, 2])
    site.clock.nowMs += HOUR_MS
    keeper.pass()
    keeper.pass()
    site.newKeeper().pass()
    expect([site.kept(), site.entries().length]).toEqual([3, 3])
    expect(site.entries()[2]).toMatchObject({
      batch: null,
      who: { how: 'program' },
      data: { batch: site.batch(2).id, program: 'spargewatch 1.2.3' },
    })
    expect(site.trouble).toEqual([])
  })

  it('keeps a batch that nobody discards after a day', () => {
    const site = create(1)
    const discard = site.batch(0).entries.findLast((e) => e.kind === 'discarded')
    const undo = { entry: discard?.id ?? '' }
    site.ledger.append(newEntry('undone', 0, undo, { batch: site.batch(0).id, bench: PLAN.bench }))
    expect(site.batch(0).discardedAt).toBeNull()
    site.clock.nowMs = OPENED_MS + 24 * HOUR_MS
    site.newKeeper().pass()
    expect(site.kept()).toBe(0)
    site.clock.nowMs += HOUR_MS
    site.newKeeper().pass()
    expect(site.kept()).toBe(1)
  })

  it('keeps anew what an entry or a calibration dated back has changed, not what a later calibration leaves as it was', () => {
    const site = create(1)
    site.clock.nowMs = OPENED_MS + 48 * HOUR_MS
    site.newKeeper().pass()
    const calibrate = (atMs: number) => {
      const at = new Date(atMs).toISOString()
      site.ledger.append(
        newEntry('calibration', 0, CALIBRATED, { bench: null, batch: null, happened_at: at, entered_at: at }),
      )
    }
    calibrate(OPENED_MS + 30 * HOUR_MS)
    site.newKeeper().pass()
    expect(site.kept()).toBe(1)
    calibrate(OPENED_MS - HOUR_MS)
    site.newKeeper().pass()
    expect(site.kept()).toBe(2)
  })

  it('marks up to when readings may be removed only after a whole pass, and not past a batch it could not work out', () => {
    const site = create()
    const keeper = site.newKeeper()
    expect(resultsKeptBefore(site.home)).toBe(0)
    expect(keeper.step()).not.toBe(IDLE_MS)
    expect(resultsKeptBefore(site.home)).toBe(0)
    keeper.pass()
    expect(resultsKeptBefore(site.home)).toBe((site.clock.nowMs - 27 * HOUR_MS) * 1000)

    // the last batch of a pass is worked out: the mark is made all the same
    site.clock.nowMs += HOUR_MS
    keeper.pass()
    expect(site.kept()).toBe(3)
    expect(resultsKeptBefore(site.home)).toBe((site.clock.nowMs - 27 * HOUR_MS) * 1000)

    site.clock.nowMs += 24 * HOUR_MS
    site.ledger.append(newEntry('note', 0, { text: 'later' }, { batch: site.batch(0).id }))
    const reports = site.newReports()
    reports.document = () => {
      throw new Error('cannot be worked out')
    }
    site.newKeeper(reports).pass()
    expect(resultsKeptBefore(site.home)).toBe((site.clock.nowMs - 51 * HOUR_MS) * 1000)
    expect(site.trouble).toEqual(['Error: cannot be worked out'])
  })

  it('after a kill between the two, writes the entry that is missing', () => {
    const site = create(1)
    site.clock.nowMs = LONG_AFTER_MS
    const append = site.ledger.append
    site.ledger.append = () => {
      throw new Error('killed')
    }
    site.newKeeper().pass()
    site.ledger.append = append
    expect([site.kept(), site.entries().length]).toEqual([1, 0])
    site.newKeeper().pass()
    expect([site.kept(), site.entries().length]).toEqual([1, 1])
  })
})

describe('the mark for the daemon', () => {
  it('does not exist where nobody has entered anything, and holds everything where it is not made yet', () => {
    const home = temporaryFolder()
    expect(resultsKeptBefore(home)).toBe(Number.MAX_SAFE_INTEGER)
    new Ledger(join(home, 'ledger.db'), 'real').close()
    expect(resultsKeptBefore(home)).toBe(0)
  })
})
