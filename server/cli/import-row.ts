import { ServerError } from '../errors.ts'

export interface ImportedRow {
  readonly timeUs: number
  readonly potency: number | null
  readonly temperature: number | null
}

export interface ImportHeader {
  readonly time: number
  readonly potency: number
  readonly temperature: number | undefined
}

/** Positions of the columns; others are passed over. */
export const readHeader = (cells: readonly string[], line: number): ImportHeader => {
  const at = (name: string) => (cells.indexOf(name) < 0 ? undefined : cells.indexOf(name))
  const time = at('time')
  const potency = at('dissolved_ozone_mg_l')
  if (time === undefined || potency === undefined)
    throw new ServerError(
      'bad-request',
      `line ${line} needs the columns time and dissolved_ozone_mg_l, got: ${printable(cells.slice(0, 6).join(', '))}`,
    )
  return { time, potency, temperature: at('temperature_c') }
}

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/
const WITH_OFFSET = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?\s*(Z|[+-]\d\d:?\d\d)$/

/** One row; an empty cell is no reading, anything else that is not a number is a fault that names its place. */
export const importRow = (cells: readonly string[], header: ImportHeader, line: number): ImportedRow => {
  const time = cells[header.time] ?? ''
  if (!WITH_OFFSET.test(time) || Number.isNaN(Date.parse(time)) || !isCalendarDay(time))
    throw new ServerError(
      'bad-request',
      `line ${line}, column time needs ISO 8601 with an offset such as 2026-03-14T09:30:00Z, got "${printable(time)}"`,
    )
  const number = (column: number | undefined, name: string): number | null => {
    const cell = column === undefined ? '' : (cells[column] ?? '')
    if (cell === '') return null
    if (!NUMBER.test(cell) || !Number.isFinite(Number(cell)))
      throw new ServerError(
        'bad-request',
        `line ${line}, column ${name} needs a number or an empty cell, got "${printable(cell)}"`,
      )
    return Number(cell)
  }
  return {
    timeUs: Math.round(Date.parse(time) * 1000),
    potency: number(header.potency, 'dissolved_ozone_mg_l'),
    temperature: number(header.temperature, 'temperature_c'),
  }
}

/** `Date.parse` takes 30 February for 2 March. */
const isCalendarDay = (time: string): boolean => {
  const [year = 0, month = 0, day = 0] = time.slice(0, 10).split('-').map(Number)
  return day >= 1 && day <= new Date(Date.UTC(year, month, 0)).getUTCDate()
}

/** Text from the file may hold anything; a message is one plain line. */
export const printable = (text: string): string =>
  [...text.slice(0, 100)].map((c) => (c < ' ' || c > '~' ? '?' : c)).join('')
