import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { act } from '../../../server/acting/act.ts'
import { foldBatch } from '../../../server/ledger/batch.ts'
import type { Ledger } from '../../../server/ledger/ledger.ts'
import { approveSheet, withdrawSheet, writeSheet } from '../../../server/method-sheet/change-sheet.ts'
import { settingsOfSheet } from '../../../server/method-sheet/sheet-of-batch.ts'
import type { Act, Action } from '../../../server/wire.ts'
import { atMinute, BATCH, temporaryLedger } from '../../support/entries.ts'
import { approvedSheet, changeBy, SHEET, SHEET_SETTINGS } from '../../support/method-sheet.ts'

const enter = (ledger: Ledger, minute: number, entry: Action, batch = BATCH) =>
  act(batch, { id: uuidv7(), bench: 'A', who: 'Ines', expected_seq: 1000, entry } satisfies Act, {
    ledger,
    who: { name: 'Ines', how: 'typed' },
    zone: 'UTC',
    benches: new Set(['A']),
    nowMs: () => Date.parse(atMinute(minute)),
    valueAt: () => null,
    spotAt: () => {
      throw new Error('no meter here')
    },
  })

const opening = (more: object = {}, version = 1): Extract<Action, { kind: 'batch-opened' }> => ({
  kind: 'batch-opened',
  data: {
    ...settingsOfSheet(SHEET_SETTINGS),
    lot: 'L1',
    method_sheet: { sheet: SHEET, version },
    ...more,
  },
})

const batchIn = (ledger: Ledger) => foldBatch(ledger.ofBatch(BATCH))

describe('a batch opened by a method sheet', () => {
  it('records sheet and version, and keeps what the sheet ruled then', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    enter(ledger, 0, opening())
    expect(batchIn(ledger)?.settings).toMatchObject({
      method_sheet: { sheet: SHEET, version: 1 },
      from_sheet: { name: 'Cold saline 250 mL', steps: SHEET_SETTINGS.steps },
      lot: 'L1',
    })
  })

  it('goes on by its version when the next one is approved or its own is withdrawn', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    enter(ledger, 0, opening())
    const again = { most_times: 2, most_ozone_min: 30 }
    writeSheet(ledger, changeBy('Ruth', { minute: 1 }), 1, { ...SHEET_SETTINGS, bubble_again: again })
    approveSheet(ledger, changeBy('Ines', { minute: 2 }), 2)
    withdrawSheet(ledger, changeBy('Ruth', { minute: 3 }), 2)
    expect(batchIn(ledger)?.settings.from_sheet).not.toHaveProperty('bubble_again')
    expect(batchIn(ledger)?.settings.method_sheet?.version).toBe(1)
  })

  it('is refused with every setting that is not the sheet’s', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    const other = { volume_ml: 200, gas: { ug_per_ml: 60, reference: 'ambient' }, temperature_c: 5 }
    const open = () => enter(ledger, 0, opening(other))
    expect(open).toThrow('volume_ml 200 where the sheet says 250')
    expect(open).toThrow('gas {"ug_per_ml":60,"reference":"ambient"} where the sheet says')
    expect(open).toThrow('temperature_c 5 where the sheet says not given')
    expect(batchIn(ledger)).toBeUndefined()
  })

  it.each([
    [
      'waits for approval',
      (ledger: Ledger) => void writeSheet(ledger, changeBy('Ruth'), 0, SHEET_SETTINGS),
      1,
    ],
    [
      'was withdrawn',
      (ledger: Ledger) => {
        approvedSheet(ledger)
        withdrawSheet(ledger, changeBy('Ines'), 1)
      },
      1,
    ],
  ])('is refused while the sheet %s', (_, prepare, version) => {
    const { ledger } = temporaryLedger()
    prepare(ledger)
    expect(() => enter(ledger, 0, opening({}, version))).toThrow('is not approved, or was withdrawn')
  })

  it('is refused by a version that was replaced while the screen stood open', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    writeSheet(ledger, changeBy('Ruth'), 1, SHEET_SETTINGS)
    approveSheet(ledger, changeBy('Ines'), 2)
    expect(() => enter(ledger, 0, opening())).toThrow(
      'version 1 of the method sheet is not in force; version 2 is',
    )
  })
})

describe('bubbling the same fill again', () => {
  const again = { most_times: 1, most_ozone_min: 12 }
  const bubble = (ledger: Ledger, onMinute: number, minutes: number) => {
    enter(ledger, onMinute, { kind: 'ozone-on' })
    enter(ledger, onMinute + minutes, { kind: 'ozone-off' })
    enter(ledger, onMinute + minutes, { kind: 'flow-off' })
  }

  it('is refused by a sheet that does not say so', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    enter(ledger, 0, opening())
    bubble(ledger, 1, 7)
    expect(() => enter(ledger, 20, { kind: 'ozone-on' })).toThrow('is not allowed: no approved method sheet')
  })

  it('is taken as often as the sheet says, and then refused with the count', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger, { bubble_again: again })
    enter(ledger, 0, opening())
    bubble(ledger, 1, 7)
    bubble(ledger, 20, 3)
    expect(batchIn(ledger)?.ozoneOnAt).toHaveLength(2)
    expect(() => enter(ledger, 30, { kind: 'ozone-on' })).toThrow('was bubbled again 1 of 1 times')
  })

  it('is refused with the minutes once ozone was on for as long as the sheet allows in all', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger, { bubble_again: { most_times: 3, most_ozone_min: 12 } })
    enter(ledger, 0, opening())
    bubble(ledger, 1, 7)
    bubble(ledger, 20, 5)
    expect(() => enter(ledger, 30, { kind: 'ozone-on' })).toThrow('ozone was on for 12.0 of the 12 min')
  })

  it('does not count an ozone that comes back on during the purge as again, but its minutes', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger, { bubble_again: again })
    enter(ledger, 0, opening())
    enter(ledger, 1, { kind: 'ozone-on' })
    enter(ledger, 3, { kind: 'ozone-off' })
    bubble(ledger, 4, 9)
    expect(() => enter(ledger, 30, { kind: 'ozone-on' })).not.toThrow()
    enter(ledger, 31, { kind: 'ozone-off' })
    enter(ledger, 31, { kind: 'flow-off' })
    expect(() => enter(ledger, 32, { kind: 'ozone-on' })).toThrow('1 of 1 times')
  })
})
