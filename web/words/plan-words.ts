import type { Plan } from '../../server/wire.ts'

/** The planner's answers in words: always from … to …, never one number. */

type Bands = Plan['physics']['bands']
type Band = NonNullable<Bands[keyof Bands]>

export interface PlanRow {
  readonly key: keyof Bands
  readonly name: string
  readonly unit: string
  readonly digits: number
  readonly never?: string
}

export const PLAN_ROWS: readonly PlanRow[] = [
  { key: 'plateau_mg_l', name: 'Levels off at', unit: 'µg/mL', digits: 1 },
  { key: 't95_min', name: 'Time to 95 % of that', unit: 'min', digits: 1 },
  {
    key: 'reaches_target_min',
    name: 'Reaches the value you set after',
    unit: 'min',
    digits: 1,
    never: 'never',
  },
  { key: 'ozone_off_mg_l', name: 'At ozone-off', unit: 'µg/mL', digits: 1 },
  { key: 'purge_lost_percent', name: 'Lost in the purge', unit: '%', digits: 0 },
  { key: 'flow_off_mg_l', name: 'At flow-off', unit: 'µg/mL', digits: 1 },
  { key: 'half_life_min', name: 'Half-life at the fluid’s temperature', unit: 'min', digits: 0 },
  { key: 'above_target_min', name: 'Above the value you set, from flow-off', unit: 'min', digits: 0 },
  { key: 'vented_mg', name: 'Ozone vented', unit: 'mg', digits: 0 },
  { key: 'vented_ppm', name: 'Vented ozone, in the closed room', unit: 'ppm', digits: 2 },
  { key: 'flask_mg', name: 'Dissolved in the flask', unit: 'mg', digits: 1 },
  { key: 'flask_ppm', name: 'All of the flask’s, in the closed room', unit: 'ppm', digits: 3 },
]

/** From the lower end rounded down to the upper rounded up: rounding never makes a band narrower, nor one number of it. */
export const bandWords = (band: Band | undefined, row: PlanRow): string => {
  if (band === undefined) return 'cannot tell'
  const low = band.low === null ? null : floor(band.low, row.digits)
  const high = band.high === null ? null : ceil(band.high, row.digits)
  if (low === null) return row.never ?? 'cannot tell'
  if (high === null) return `${low} ${row.unit} or ${row.never ?? 'more'}`
  return band.low === 0 && band.high === 0 ? `0 ${row.unit}: not above it` : `${low} to ${high} ${row.unit}`
}

const floor = (value: number, digits: number): string =>
  (Math.floor(value * 10 ** digits + 1e-9) / 10 ** digits).toFixed(digits)
const ceil = (value: number, digits: number): string =>
  (Math.ceil(value * 10 ** digits - 1e-9) / 10 ** digits).toFixed(digits)

type Way = Plan['ways'][number]

const CHANGE: Readonly<Record<Way['change'], string>> = {
  'cooler-fluid': 'Cooler fluid',
  'stronger-gas': 'Stronger gas',
  'longer-bubbling': 'Longer bubbling',
  'purge-past-the-fluid': 'Purge past the fluid',
}

export const wayName = ({ change }: Way): string => CHANGE[change]

/** From where on the target may be reached, from where on by all of the band, or that it is not. */
export const wayWords = (way: Way): string => {
  const { unit, now, limit, may_from, all_from, change } = way
  const at = (value: number) => `${Number(value.toFixed(1))} ${unit}`
  const level = `${floor(way.gives_mg_l.low ?? 0, 1)} to ${ceil(way.gives_mg_l.high ?? 0, 1)} µg/mL at flow-off`
  if (change === 'purge-past-the-fluid')
    return `${level}; ${all_from !== null ? 'all of that reaches it' : may_from !== null ? 'part of that reaches it' : 'that does not reach it'}`
  if (may_from === null) return `does not reach it, looked at up to ${at(limit)} (${level})`
  const may = may_from === now ? `may reach it as it is (${at(now)})` : `may reach it from ${at(may_from)} on`
  return all_from === null
    ? `${may}; not all of the band does, looked at up to ${at(limit)} (${level})`
    : `${may}; all of the band does from ${at(all_from)} on (${level})`
}
