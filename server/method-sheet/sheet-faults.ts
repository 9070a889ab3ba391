import type { MethodSheet } from './method-sheet.ts'

/**
 * What the numbers of a sheet say against each other, all of it: each is in its range by the schema already.
 * Empty when they go together.
 */
export const sheetFaults = (settings: MethodSheet): string[] => {
  const { fluid, fluid_detail, prep_min, age_limit_min, bubble_again } = settings
  return [
    ...(fluid === 'other' && fluid_detail === undefined ? ['fluid_detail: say which fluid "other" is'] : []),
    ...(age_limit_min <= prep_min
      ? [`age_limit_min: needs to be longer than the prep time of ${prep_min} min, got ${age_limit_min}`]
      : []),
    ...(bubble_again && bubble_again.most_ozone_min <= prep_min
      ? [
          `bubble_again.most_ozone_min: counts the first bubbling too, so it needs to be over ${prep_min} min, got ${bubble_again.most_ozone_min}`,
        ]
      : []),
    ...repeated(settings.steps.map((s) => s.step)).map((step) => `steps: "${step}" stands there twice`),
  ]
}

const repeated = (names: readonly string[]): string[] => [
  ...new Set(names.filter((name, i) => names.indexOf(name) !== i)),
]
