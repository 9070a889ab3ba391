import { describe, expect, it, onTestFinished } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import { batchReadingsCsv } from '../../../server/report/batch-readings-csv.ts'
import { atMinute } from '../../support/entries.ts'
import { measuredBatch } from '../../support/measured-batch.ts'

const create = () => {
  const { store, ledger, batch, read, nowMs } = measuredBatch([], {}, { untilMinute: 6 })
  onTestFinished(() => void store.db.close())
  const csv = () => [...batchReadingsCsv(batch, { store, ledger, site: 'Example', simulated: false, nowMs })]
  const prune = async (minute: number) => store.prune(timeUs(Date.parse(atMinute(minute)) * 1000))
  return { read, csv, prune }
}

describe('a batch whose raw readings the retention setting removed', () => {
  it('has them all and says nothing while none were', async () => {
    const { read, csv, prune } = create()
    await prune(-2)
    expect(read().removedBefore).toBeUndefined()
    expect(read().input.potencyMgPerL).toHaveLength(421)
    expect(csv().join('')).not.toContain('removed')
  })

  it('says up to when they were, in the record and in the file of its readings', async () => {
    const { read, csv, prune } = create()
    await prune(3)
    const { input, removedBefore } = read()
    expect(removedBefore).toBe(Date.parse(atMinute(3)) * 1000)
    expect(input.potencyMgPerL).toHaveLength(181)
    expect(csv()).toContain(
      `# raw readings before ${new Date(atMinute(3)).toISOString()} were removed by the setting keep_raw_days\r\n`,
    )
  })

  it('says so when not one is left, and still names the meter', async () => {
    const { read, prune } = create()
    await prune(60)
    const { input, removedBefore, meter } = read()
    expect(removedBefore).toBe(Date.parse(atMinute(60)) * 1000)
    expect([input.potencyMgPerL.length, meter?.instrument]).toEqual([0, 'meter-a'])
  })
})
