import { describe, expect, it } from 'vitest'
import { methodSheet } from '../../server/ledger/entry.ts'
import { sheetFaults } from '../../server/method-sheet/sheet-faults.ts'
import { planWanted } from '../../server/wire/plan-schema.ts'
import { batchBySheet } from '../../web/sheet-batch.ts'
import { lotTyped } from '../../web/typed/lot-typed.ts'
import { EMPTY_PLAN_TEXT, planOfSheet, planTyped, sheetOfPlan } from '../../web/typed/plan-typed.ts'
import { EMPTY_SHEET, sheetOf, textOfSheet } from '../../web/typed/sheet-typed.ts'
import { bandWords, PLAN_ROWS, wayWords } from '../../web/words/plan-words.ts'
import { sheetChanges } from '../../web/words/sheet-words.ts'
import { SHEET, SHEET_SETTINGS } from '../support/method-sheet.ts'

const WHOLE = {
  ...SHEET_SETTINGS,
  temperature_c: 7,
  mark_ml: 0.5,
  bubble_again: { most_times: 2, most_ozone_min: 20 },
}
const why = (typed: { readonly kind: string; readonly why?: string }) => typed.why ?? typed.kind

describe('the form of a method sheet', () => {
  it('gives back a sheet as it was, steps with their ids, and what the server takes', () => {
    const typed = sheetOf(textOfSheet(WHOLE), WHOLE.steps)
    expect(typed).toEqual({ kind: 'data', data: WHOLE })
    expect(methodSheet.parse(WHOLE)).toEqual(WHOLE)
    expect(sheetFaults(WHOLE)).toEqual([])
  })

  it('fills in nothing but the general steps', () => {
    const { name, fluid, target, gas, again_times, mark } = EMPTY_SHEET
    expect([name, fluid, target, gas, again_times, mark]).toEqual(['', '', '', '', '', ''])
    expect(EMPTY_SHEET['steps set-up']).toContain('Extraction or ventilation is running')
    expect(EMPTY_SHEET['steps purge']).toContain('while gas still flows')
  })

  it.each([
    [{ name: ' ' }, 'Type the name of the sheet.'],
    [{ target: '', lead: '' }, 'Still needed: the value to reach, the time from draw-up to use.'],
    [{ fluid: 'other' }, 'Say which fluid it is.'],
    [{ again_times: '1', again_min: '7' }, 'more than the prep time'],
    [{ again_times: '', again_min: '20' }, 'type how many times'],
    [{ again_times: '6' }, '1 to 5'],
    [{ mark: 'x' }, 'The mark of the syringe must be a number above 0'],
    [
      { 'steps set-up': '', 'steps bubbling': ' \n ', 'steps purge': '', 'steps standing': '' },
      'At least one step',
    ],
  ])('with %o says what is needed', (change, words) => {
    expect(why(sheetOf({ ...textOfSheet(WHOLE), ...change }))).toContain(words)
  })

  it('gives a new step an id of its words, no two the same', () => {
    const typed = sheetOf(
      { ...textOfSheet(WHOLE), 'steps purge': 'Lift the tube!\nLift the tube.\n水' },
      WHOLE.steps,
    )
    const steps = typed.kind === 'data' ? typed.data.steps : []
    expect(steps.filter((s) => s.during === 'purge').map((s) => s.step)).toEqual([
      'lift-the-tube',
      'lift-the-tube-2',
      'purge',
    ])
  })

  it('says what a version changes, setting by setting and step by step', () => {
    const after = { ...WHOLE, prep_min: 9, steps: WHOLE.steps.slice(1) }
    expect(sheetChanges(WHOLE, after)).toEqual([
      { name: 'Prep time', before: '7 min', after: '9 min' },
      { name: 'Step', before: 'Being set up: Extraction is running.', after: 'left out' },
    ])
    expect(sheetChanges(WHOLE, WHOLE)).toEqual([])
  })
})

describe('a batch by a sheet', () => {
  it('takes its settings and the lot, and leaves out what the server adds', () => {
    const { name: _n, steps: _s, bubble_again: _b, mark_ml: _m, ...settings } = WHOLE
    const batch = batchBySheet({ sheet: SHEET, version: 3, settings: WHOLE }, ' L 1 ')
    expect(batch).toEqual({ ...settings, method_sheet: { sheet: SHEET, version: 3 }, lot: 'L 1' })
    expect(batchBySheet({ sheet: SHEET, version: 3, settings: WHOLE }, '  ')).not.toHaveProperty('lot')
  })

  it('reads a scanned lot without the separators that are no text', () => {
    expect(lotTyped('\u001d0109501101530003\u001d10ABC123\r')).toBe('010950110153000310ABC123')
    expect(lotTyped('\r\n')).toBeNull()
  })
})

describe('the form of the planner', () => {
  const text = {
    ...planOfSheet(WHOLE, EMPTY_PLAN_TEXT),
    purge_min: '0,5',
    room: '40',
  }

  it('gives what the server takes, from a sheet and back to one', () => {
    const typed = planTyped(text)
    const data = typed.kind === 'data' ? typed.data : undefined
    expect(planWanted.parse(data)).toEqual(data)
    expect(data).toMatchObject({ purge_min: 0.5, room_m3: 40, temperature_c: 7, prep_min: 7 })
    expect(data).not.toHaveProperty('room_c')
    expect(data && sheetOfPlan(data)).toEqual({
      fluid: 'saline',
      volume_ml: 250,
      temperature_c: 7,
      gas: WHOLE.gas,
      flow_ml_per_min: 500,
      target_mg_l: 15,
      prep_min: 7,
      purge: 'tube-lifted-clear',
    })
  })

  it('names everything that is missing or out of its range at once', () => {
    expect(why(planTyped(EMPTY_PLAN_TEXT))).toBe(
      'Still needed: the fluid, what the gas value is stated for, how the purge is done, volume, fluid temperature, gas value, gas flow.',
    )
    expect(why(planTyped({ ...text, volume: '5', room_c: '99', purge_min: '' }))).toBe(
      'Still needed: volume from 10 to 5000 mL, room temperature from 0 to 45 °C, length of the purge (0 to 60 min).',
    )
  })

  it('asks for no length of a purge that is not done', () => {
    expect(planTyped({ ...text, purge: 'none', purge_min: '' })).toMatchObject({ data: { purge_min: 0 } })
  })
})

describe('bands in words', () => {
  const row = (key: string) => {
    const found = PLAN_ROWS.find((r) => r.key === key)
    if (!found) throw new Error(`no row ${key}`)
    return found
  }

  it.each([
    ['plateau_mg_l', { low: 9.78, high: 13.31 }, '9.7 to 13.4 µg/mL'],
    ['plateau_mg_l', { low: 10, high: 10 }, '10.0 to 10.0 µg/mL'],
    ['vented_mg', { low: 113.4, high: 115.8 }, '113 to 116 mg'],
    ['reaches_target_min', { low: null, high: null }, 'never'],
    ['reaches_target_min', { low: 3.21, high: null }, '3.2 min or never'],
    ['above_target_min', { low: 0, high: 0 }, '0 min: not above it'],
    ['above_target_min', { low: 0, high: 12.1 }, '0 to 13 min'],
    ['plateau_mg_l', undefined, 'cannot tell'],
  ] as const)('%s %o: rounded outwards', (key, band, words) => {
    expect(bandWords(band, row(key))).toBe(words)
  })

  it('name from where on the target may be, and from where on all of the band is', () => {
    const way = {
      change: 'stronger-gas',
      unit: 'µg/mL',
      now: 50,
      limit: 300,
      may_from: 82,
      all_from: 120,
      gives_mg_l: { low: 15, high: 24.31 },
    } as const
    expect(wayWords(way)).toBe(
      'may reach it from 82 µg/mL on; all of the band does from 120 µg/mL on (15.0 to 24.4 µg/mL at flow-off)',
    )
    expect(wayWords({ ...way, may_from: 50, all_from: null })).toContain(
      'may reach it as it is (50 µg/mL); not all',
    )
    expect(wayWords({ ...way, may_from: null, all_from: null })).toContain(
      'does not reach it, looked at up to 300',
    )
  })
})
