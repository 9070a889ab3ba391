import { describe, expect, it } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import { foldBatch } from '../../../server/ledger/batch.ts'
import { batchStartUs, entryElapsedS } from '../../../server/live/analysis-input.ts'
import { type Elapsed, elapsedOf } from '../../../server/live/elapsed.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const at = (wallS: number, monoS: number, bootId = 'one') => ({
  timeUs: timeUs(wallS * 1e6),
  monoMs: monoS * 1000,
  bootId,
})
const axis = (...readings: ReturnType<typeof at>[]) => {
  let before: Elapsed | undefined
  return readings.map((r) => {
    before = elapsedOf(r, before, 1000e6)
    return before.seconds
  })
}

describe('the time axis of a batch', () => {
  it('counts from its start by wall time, then by uptime', () => {
    expect(axis(at(1010, 50), at(1011, 51), at(1012, 52))).toEqual([10, 11, 12])
  })

  it('is unharmed by a wall clock that steps an hour either way', () => {
    expect(axis(at(1010, 50), at(4611, 51), at(4612, 52))).toEqual([10, 11, 12])
    expect(axis(at(1010, 50), at(1010.000001, 51), at(1010.000002, 52))).toEqual([10, 11, 12])
  })

  it('takes wall time across a restart of the machine, when uptime begins anew', () => {
    expect(axis(at(1010, 50), at(1100, 3, 'two'), at(1101, 4, 'two'))).toEqual([10, 100, 101])
  })

  it('puts an entry made after a clock step where it really happened', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, OPENED))
    const step = ledger.append(
      newEntry(
        'from-daemon',
        5,
        { event: 1, kind: 'clock-step', detail: { step_us: 3600e6 } },
        { bench: null, batch: null },
      ),
    ).entry
    const late = ledger.append(newEntry('ozone-on', 66, {})).entry
    const batch = foldBatch([...ledger.all()].filter((e) => e.batch !== null))
    if (!batch) throw new Error('no batch')
    const startUs = timeUs(Date.parse(atMinute(0)) * 1000)
    expect(entryElapsedS(late, startUs, [step])).toBe(6 * 60)
    expect(batchStartUs(batch)).toBe((Date.parse(atMinute(0)) - 60_000) * 1000)
  })
})
