import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { resultsKeptBefore } from '../../../ingest/store/kept-results.ts'
import { Ledger } from '../../../server/ledger/ledger.ts'
import { newEntry } from '../../support/entries.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

import { HOUR_MS, IDLE_MS, LONG_AFTER_MS, OPENED_MS, PLAN, simulatedBatches } from './simulated-batches.ts'

describe('the keeper of results', () => {
  it('waits for an hour after the discard, and keeps each batch once, with its hash in the record', () => {
    const site = simulatedBatches()
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
    const site = simulatedBatches(1)
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
    const site = simulatedBatches(1)
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
    const site = simulatedBatches()
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
    const site = simulatedBatches(1)
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
