import { describe, expect, it } from 'vitest'
import { foldBatch } from '../../../server/ledger/batch.ts'
import type { NewEntry } from '../../../server/ledger/ledger.ts'
import { plannedOff } from '../../../server/live/planned-off.ts'
import { rulesOf } from '../../../server/method-sheet/sheet-of-batch.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'
import { SHEET, SHEET_SETTINGS } from '../../support/method-sheet.ts'

/** Prep time 7 min; in all at most 10 min of ozone. */
const opened = {
  ...OPENED,
  method_sheet: { sheet: SHEET, version: 1 },
  from_sheet: rulesOf({ ...SHEET_SETTINGS, bubble_again: { most_times: 1, most_ozone_min: 10 } }),
}
const planned = (settings: typeof OPENED, ...entries: NewEntry[]) => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, settings))
  for (const entry of entries) ledger.append(entry)
  return plannedOff(foldBatch([...ledger.all()]))
}
const on = (minute: number) => newEntry('ozone-on', minute, {})
const off = (minute: number) => newEntry('ozone-off', minute, {})
const flowOff = (minute: number) => newEntry('flow-off', minute, {})

describe('the planned ozone-off', () => {
  it('is the prep time after ozone-on', () => {
    expect(planned(OPENED, on(1))).toBe(atMinute(8))
    expect(planned(opened, on(1))).toBe(atMinute(8))
  })

  it('of a fill that is bubbled again comes when the minutes of ozone that the sheet allows are used up', () => {
    // 7 of 10 min are used
    expect(planned(opened, on(1), off(8), flowOff(9), on(20))).toBe(atMinute(23))
    // 2 of 10 min are used: the prep time ends first
    expect(planned(opened, on(1), off(3), flowOff(4), on(20))).toBe(atMinute(27))
  })

  it('is none while ozone is off, without a batch or without a prep time', () => {
    const { prep_min: _, ...unplanned } = OPENED
    expect(planned(opened, on(1), off(8))).toBeNull()
    expect(planned(unplanned, on(1))).toBeNull()
    expect(plannedOff(undefined)).toBeNull()
  })
})
