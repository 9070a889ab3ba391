import type { MethodSheetVersion } from '../server/wire.ts'
import type { BatchDetails } from './batch-plan.ts'
import { lotTyped } from './typed/lot-typed.ts'

/** A batch by a method sheet: its settings to the letter, and the lot where there is one. */
export const batchBySheet = (
  { sheet, version, settings }: Pick<MethodSheetVersion, 'sheet' | 'version' | 'settings'>,
  lot: string,
): BatchDetails => {
  const {
    name: _name,
    bubble_again: _again,
    mark_ml: _mark,
    steps: _steps,
    prep_time_shown_by: _shown,
    ...details
  } = settings
  const typed = lotTyped(lot)
  return { ...details, method_sheet: { sheet, version }, ...(typed === null ? {} : { lot: typed }) }
}
