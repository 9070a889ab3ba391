import { describe, expect, it } from 'vitest'
import { pastOf } from '../../../server/report/clinic-history.ts'
import { newEntry } from '../../support/entries.ts'

import { HOUR_MS, LONG_AFTER_MS, OPENED_MS, simulatedBatches } from './simulated-batches.ts'

describe('results of batches whose raw readings are removed', () => {
  it('are the same afterwards, to the last digit, in record, analysis, list and what later batches learn', async () => {
    const site = simulatedBatches()
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
    const site = simulatedBatches()
    site.clock.nowMs = LONG_AFTER_MS
    await site.removeBefore(OPENED_MS + 12 * HOUR_MS)
    site.newKeeper().pass()
    expect(site.kept()).toBe(2)
    const record = site.newReports().record(site.batch(0))
    expect([record.results_kept, record.summary.half_life_min]).toEqual([null, null])
  })

  it('say so when an entry was made since', async () => {
    const site = simulatedBatches(1)
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
    const site = simulatedBatches(1)
    site.clock.nowMs = LONG_AFTER_MS
    site.newKeeper().pass()
    await site.removeBefore(LONG_AFTER_MS)
    site.results.db.exec('DROP TRIGGER result_fixed')
    site.results.db.exec(`UPDATE result SET document = replace(document, '"bound":null', '"bound": null')`)
    expect(site.newReports().record(site.batch(0)).results_kept).toBeNull()
    expect(site.trouble.join()).toContain('are not those that the record names')
  })
})
