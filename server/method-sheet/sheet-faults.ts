import type { MethodSheet } from './method-sheet.ts'

export interface SheetFault {
  readonly path: readonly string[]
  readonly message: string
}

/**
 * What the numbers of a sheet say against each other, all of it. Fields may be missing or out of range: the schema says so
 * itself, and both are told at once. Empty when they go together.
 */
export const sheetFaults = (settings: Partial<MethodSheet>): SheetFault[] => {
  const { fluid, fluid_detail, prep_min, age_limit_min, bubble_again, steps } = settings
  const fault = (path: string, message: string): SheetFault => ({ path: path.split('.'), message })
  return [
    ...(fluid === 'other' && fluid_detail === undefined
      ? [fault('fluid_detail', 'say which fluid "other" is')]
      : []),
    ...(Number(age_limit_min) <= Number(prep_min)
      ? [
          fault(
            'age_limit_min',
            `needs to be longer than the prep time of ${prep_min} min, got ${age_limit_min}`,
          ),
        ]
      : []),
    ...(Number(bubble_again?.most_ozone_min) <= Number(prep_min)
      ? [
          fault(
            'bubble_again.most_ozone_min',
            `counts the first bubbling too, so it needs to be over ${prep_min} min, got ${bubble_again?.most_ozone_min}`,
          ),
        ]
      : []),
    ...repeated(Array.isArray(steps) ? steps.map((s) => s?.step) : []).map((step) =>
      fault('steps', `"${step}" stands there twice`),
    ),
  ]
}

const repeated = (names: readonly (string | undefined)[]): (string | undefined)[] => [
  ...new Set(names.filter((name, i) => name !== undefined && names.indexOf(name) !== i)),
]
