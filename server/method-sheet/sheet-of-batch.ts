import { ServerError } from '../errors.ts'
import type { EntryData } from '../ledger/entry.ts'
import type { FromSheet } from '../ledger/method-sheet-entry.ts'
import type { MethodSheet, Sheet } from './method-sheet.ts'

type Settings = Omit<EntryData<'batch-opened'>, 'number' | 'from_sheet'>

/**
 * What the batch keeps of the sheet it is opened by, so that its record stands alone; undefined without a sheet.
 * Throws `not-possible-now` when that version is not in force, or naming every setting that is not the sheet's.
 */
export const fromSheetOf = (settings: Settings, sheets: readonly Sheet[]): FromSheet | undefined => {
  if (settings.method_sheet === undefined) return undefined
  const { sheet: id, version } = settings.method_sheet
  const sheet = sheets.find((s) => s.sheet === id)
  if (!sheet)
    throw new ServerError('not-found', `method sheet ${id} does not exist`, { fix: 'see /api/method-sheets' })
  const inForce = sheet.inForce
  if (inForce?.version !== version)
    throw new ServerError(
      'not-possible-now',
      inForce
        ? `version ${version} of the method sheet is not in force; version ${inForce.version} is`
        : `the method sheet "${sheet.versions.at(-1)?.settings.name}" is not approved, or was withdrawn`,
      { fix: 'choose the method sheet again, or open the batch without one' },
    )
  const others = differences(settings, inForce.settings)
  if (others.length > 0)
    throw new ServerError(
      'not-possible-now',
      `not as in version ${version} of the method sheet "${inForce.settings.name}": ${others.join('; ')}`,
      { fix: 'open it with the settings of the sheet, or without a method sheet' },
    )
  return rulesOf(inForce.settings)
}

export const rulesOf = ({ name, bubble_again, mark_ml, steps }: MethodSheet): FromSheet => ({
  name,
  steps,
  ...(bubble_again === undefined ? {} : { bubble_again }),
  ...(mark_ml === undefined ? {} : { mark_ml }),
})

/** The settings of a batch that a sheet gives; the lot and the sheet itself are added when it is opened. */
export const settingsOfSheet = ({
  name: _name,
  bubble_again: _again,
  mark_ml: _mark,
  steps: _steps,
  prep_time_shown_by: _shown,
  ...settings
}: MethodSheet): Omit<Settings, 'lot' | 'method_sheet'> => settings

const differences = (
  { lot: _lot, method_sheet: _own, trial: _trial, ...given }: Settings,
  sheet: MethodSheet,
): string[] => {
  const wanted: Readonly<Record<string, unknown>> = { ...settingsOfSheet(sheet) }
  const have: Readonly<Record<string, unknown>> = { ...given }
  return [...new Set([...Object.keys(wanted), ...Object.keys(have)])]
    .filter((key) => !same(wanted[key], have[key]))
    .map((key) => `${key} ${shown(have[key])} where the sheet says ${shown(wanted[key])}`)
}

const same = (a: unknown, b: unknown): boolean =>
  a === b ||
  (typeof a === 'object' &&
    typeof b === 'object' &&
    a !== null &&
    b !== null &&
    Object.keys({ ...a, ...b }).every((key) =>
      same((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]),
    ))

const shown = (value: unknown): string => (value === undefined ? 'not given' : JSON.stringify(value))
