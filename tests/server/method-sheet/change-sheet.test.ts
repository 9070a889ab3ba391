import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { approveSheet, withdrawSheet, writeSheet } from '../../../server/method-sheet/change-sheet.ts'
import { sheetsOf } from '../../../server/method-sheet/sheets-of.ts'
import { temporaryLedger } from '../../support/entries.ts'
import { approvedSheet, changeBy, SHEET_SETTINGS } from '../../support/method-sheet.ts'

const states = (ledger: Parameters<typeof sheetsOf>[0]) =>
  sheetsOf(ledger).map((s) => s.versions.map((v) => v.state))

describe('a method sheet', () => {
  it('waits until another person approves it, then is in force', () => {
    const { ledger } = temporaryLedger()
    writeSheet(ledger, changeBy('Ruth'), 0, SHEET_SETTINGS)
    expect(states(ledger)).toEqual([['waiting']])
    expect(sheetsOf(ledger)[0]?.inForce).toBeNull()
    approveSheet(ledger, changeBy('Ines', { why: 'trial of five batches' }), 1)
    expect(sheetsOf(ledger)[0]?.inForce).toMatchObject({
      version: 1,
      settings: SHEET_SETTINGS,
      written: { who: { name: 'Ruth' } },
      approved: { who: { name: 'Ines' }, why: 'trial of five batches' },
    })
  })

  it.each(['Ruth', ' ruth', 'RUTH ', 'Ｒuth'])('is not approved by its writer, also spelt "%s"', (name) => {
    const { ledger } = temporaryLedger()
    writeSheet(ledger, changeBy('Ruth'), 0, SHEET_SETTINGS)
    expect(() => approveSheet(ledger, changeBy(name), 1)).toThrow(
      'Ruth wrote version 1; another person has to approve it',
    )
    expect(states(ledger)).toEqual([['waiting']])
  })

  it('keeps the old version in force while the next one waits, and replaces it at the approval', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    writeSheet(ledger, changeBy('Ines'), 1, { ...SHEET_SETTINGS, prep_min: 9 })
    expect(states(ledger)).toEqual([['in-force', 'waiting']])
    approveSheet(ledger, changeBy('Ruth'), 2)
    expect(states(ledger)).toEqual([['replaced', 'in-force']])
    expect(sheetsOf(ledger)[0]?.inForce?.settings.prep_min).toBe(9)
    expect(sheetsOf(ledger)[0]?.versions[0]?.settings.prep_min).toBe(7)
  })

  it('that is withdrawn brings no older version back', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    writeSheet(ledger, changeBy('Ines'), 1, { ...SHEET_SETTINGS, prep_min: 9 })
    approveSheet(ledger, changeBy('Ruth'), 2)
    withdrawSheet(ledger, changeBy('Tomas', { why: 'plateau not reached' }), 2)
    expect(states(ledger)).toEqual([['replaced', 'withdrawn']])
    expect(sheetsOf(ledger)[0]?.inForce).toBeNull()
    expect(sheetsOf(ledger)[0]?.versions[1]?.withdrawn?.why).toBe('plateau not reached')
  })

  it.each([
    ['approved twice', 'in-force', approveSheet, 1, 'version 1 is approved already'],
    ['withdrawn once it was replaced', 'replaced', withdrawSheet, 1, 'version 1 was replaced by a later one'],
    ['approved once it was replaced', 'replaced', approveSheet, 1, 'version 1 was replaced by a later one'],
    ['approved in a version that is not there', 'in-force', approveSheet, 3, 'has 1 versions, no 3'],
  ] as const)('is not %s', (_, state, change, version, why) => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    if (state === 'replaced') {
      writeSheet(ledger, changeBy('Ines'), 1, SHEET_SETTINGS)
      approveSheet(ledger, changeBy('Ruth'), 2)
    }
    expect(() => change(ledger, changeBy('Tomas'), version)).toThrow(why)
  })

  it('written on an old picture is refused, and the same request again is written once', () => {
    const { ledger } = temporaryLedger()
    approvedSheet(ledger)
    const id = uuidv7()
    writeSheet(ledger, changeBy('Ines', { id }), 1, SHEET_SETTINGS)
    writeSheet(ledger, changeBy('Ines', { id }), 1, SHEET_SETTINGS)
    expect(sheetsOf(ledger)[0]?.versions).toHaveLength(2)
    expect(() => writeSheet(ledger, changeBy('Tomas'), 1, SHEET_SETTINGS)).toThrow(
      'version 2 of this method sheet was written meanwhile',
    )
    expect(() => approveSheet(ledger, changeBy('Ruth', { id }), 2)).toThrow('already names another entry')
  })

  it('is refused with every fault of its numbers at once', () => {
    const { ledger } = temporaryLedger()
    const { steps } = SHEET_SETTINGS
    const wrong = {
      ...SHEET_SETTINGS,
      fluid: 'other',
      prep_min: 60,
      bubble_again: { most_times: 1, most_ozone_min: 60 },
      steps: [...steps, ...steps.slice(0, 1)],
    } as const
    const refused = () => writeSheet(ledger, changeBy('Ruth'), 0, { ...wrong, steps: [...wrong.steps] })
    for (const why of [
      'fluid_detail: say which fluid',
      'age_limit_min: needs to be longer than the prep time of 60 min, got 60',
      'bubble_again.most_ozone_min: counts the first bubbling too, so it needs to be over 60 min, got 60',
      'steps: "extraction-on" stands there twice',
    ])
      expect(refused).toThrow(why)
    expect(sheetsOf(ledger)).toEqual([])
  })
})
