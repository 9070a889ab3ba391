import type { MethodSheetVersion, MethodSheetView } from '../../server/wire.ts'
import { iso } from './fake-bench.ts'
import { SHEET_SETTINGS } from './method-sheet.ts'

const DAY = 86_400_000

/** Sheets as the wire carries them: one in force with its next version waiting, one in force, one withdrawn. Invented. */
export const fakeSheets = (now: number): MethodSheetView[] => {
  const deed = (days: number, by: string, why: string | null = null): MethodSheetVersion['written'] => ({
    at: iso(now - days * DAY),
    by,
    how: 'typed',
    why,
  })
  const version = (n: number, over: Partial<MethodSheetVersion> = {}): MethodSheetVersion => ({
    sheet: '01900000-0000-7000-8000-00000000e001',
    version: n,
    state: 'in-force',
    settings: {
      ...SHEET_SETTINGS,
      temperature_c: 7,
      mark_ml: 1,
      bubble_again: { most_times: 1, most_ozone_min: 12 },
    },
    written: deed(40, 'R. Example'),
    approved: deed(38, 'I. Example', 'trial of five batches'),
    withdrawn: null,
    prep_time_trial: null,
    ...over,
  })
  const first = version(1)
  const next = version(2, {
    state: 'waiting',
    settings: {
      ...first.settings,
      prep_min: 9,
      steps: [
        ...SHEET_SETTINGS.steps,
        { step: 'read-back', during: 'set-up', text: 'Gas value and flow are read back.' },
      ],
    },
    written: deed(1, 'R. Example'),
    approved: null,
  })
  const water = version(3, {
    sheet: '01900000-0000-7000-8000-00000000e002',
    settings: {
      ...SHEET_SETTINGS,
      name: 'Distilled water 200 mL, small flask with the fine stone',
      fluid: 'distilled',
      volume_ml: 200,
    },
  })
  const gone = version(1, {
    sheet: '01900000-0000-7000-8000-00000000e003',
    state: 'withdrawn',
    settings: { ...SHEET_SETTINGS, name: 'Saline 500 mL' },
    withdrawn: deed(3, 'I. Example', 'plateau not reached in the trial'),
  })
  return [
    { sheet: first.sheet, in_force: first, versions: [next, first] },
    { sheet: water.sheet, in_force: water, versions: [water] },
    { sheet: gone.sheet, in_force: null, versions: [gone] },
  ]
}
