import { describe, expect, it } from 'vitest'
import { methodSheet } from '../../../server/ledger/entry.ts'
import { approveSheet, withdrawSheet, writeSheet } from '../../../server/method-sheet/change-sheet.ts'
import { samePerson } from '../../../server/method-sheet/method-sheet.ts'
import { sheetFaults } from '../../../server/method-sheet/sheet-faults.ts'
import { fromSheetOf } from '../../../server/method-sheet/sheet-of-batch.ts'
import { sheetsOf } from '../../../server/method-sheet/sheets-of.ts'
import { distilledSettings, filteredSettings, salineSettings } from '../../../server/seed/clinic.ts'
import { bySheet, withRules, writeDemoSheets } from '../../../server/seed/sheets.ts'
import { temporaryLedger } from '../../support/entries.ts'
import { changeBy } from '../../support/method-sheet.ts'

const demo = () => {
  const { ledger } = temporaryLedger()
  writeDemoSheets(ledger, 0)
  return ledger
}

describe('the method sheets of the demonstration', () => {
  it('are two, approved by another than their writer, marked as simulated, and pass what a person’s must', () => {
    const ledger = demo()
    writeDemoSheets(ledger, 1e9)
    const sheets = sheetsOf(ledger)
    expect(sheets).toHaveLength(2)
    for (const { inForce } of sheets) {
      if (!inForce) throw new Error('not in force')
      expect(methodSheet.parse(inForce.settings)).toEqual(inForce.settings)
      expect(sheetFaults(inForce.settings)).toEqual([])
      expect(inForce.settings.name).toContain('(simulated)')
      expect(samePerson(inForce.written.who.name, inForce.approved?.who.name ?? '')).toBe(false)
    }
  })

  it('open the batches of the scene as the server takes them, and of the bench without a meter none', () => {
    const ledger = demo()
    for (const settings of [salineSettings, distilledSettings]) {
      const opened = bySheet(settings, ledger)
      expect(fromSheetOf(opened, sheetsOf(ledger))).toEqual(withRules(settings, ledger).from_sheet)
      expect(opened.method_sheet?.version).toBe(1)
    }
    expect(bySheet(filteredSettings, ledger)).toEqual(filteredSettings)
  })

  it('never stop the scene: with a sheet changed or withdrawn the operator opens without one', () => {
    const ledger = demo()
    const [saline, distilled] = sheetsOf(ledger)
    if (!saline?.inForce || !distilled) throw new Error('no sheets')
    const change = (sheet: string, name: string) => ({ ...changeBy(name), sheet })
    writeSheet(ledger, change(saline.sheet, 'Visitor'), 1, { ...saline.inForce.settings, prep_min: 9 })
    approveSheet(ledger, change(saline.sheet, 'Another'), 2)
    withdrawSheet(ledger, change(distilled.sheet, 'Visitor'), 1)
    expect(bySheet(salineSettings, ledger)).toEqual(salineSettings)
    expect(bySheet(distilledSettings, ledger)).toEqual(distilledSettings)
  })
})
