import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { CsvError, parse } from 'csv-parse'
import { GrowingColumn } from './analyse-column.ts'
import type { Progress } from './progress.ts'

/** A file that cannot be analysed, in one line that names what is wrong and where. */
export class UnreadableFile extends Error {}

export interface CsvBatch {
  /** Milliseconds since 1970 of the first row in time. */
  readonly startMs: number
  /** Seconds since the first row, strictly increasing. */
  readonly timesS: Float64Array
  readonly potency: Float64Array
  readonly celsius: Float64Array
  readonly rows: { read: number; empty_cells: number; out_of_order: number; doubled: number }
}

const COLUMNS = ['time', 'dissolved_ozone_mg_l', 'temperature_c'] as const
const REQUIRED = ['time', 'dissolved_ozone_mg_l'] as const
const WITH_OFFSET = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)$/i
const LOOKS_LIKE_TIME = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d/

type Place = Record<(typeof COLUMNS)[number], number>

/** Streams a batch file into typed arrays; a year of seconds fits. Throws `UnreadableFile` at the first fault. */
export const readBatchFile = async (path: string, progress?: Progress): Promise<CsvBatch> => {
  const collected = {
    ms: new GrowingColumn(),
    potency: new GrowingColumn(),
    celsius: new GrowingColumn(),
    empty: 0,
  }
  let place: Place | undefined
  const parser = parse({
    comment: '#',
    comment_no_infix: true,
    bom: true,
    trim: true,
    relax_column_count: true,
    info: true,
    skip_empty_lines: true,
    max_record_size: 65_536,
  })
  const bytes = await sizeOf(path)
  const file = createReadStream(path)
  // pipe alone would leave a failing file unheard
  file.on('error', (error) => parser.destroy(error))
  file.pipe(parser)
  try {
    for await (const { record, info } of parser as AsyncIterable<{
      record: string[]
      info: { lines: number }
    }>) {
      if (place === undefined) place = placesIn(record)
      else takeRow(record, { line: info.lines, data: collected.ms.length + 1 }, place, collected)
      if (collected.ms.length % LOOK_EVERY === 0)
        progress?.say(file.bytesRead / bytes, `reading, ${collected.ms.length} rows`)
    }
  } catch (error) {
    throw explained(error, path)
  }
  if (place === undefined)
    throw new UnreadableFile(`${path}: the file is empty; it needs a header row: ${COLUMNS.join(',')}`)
  if (collected.ms.length === 0) throw new UnreadableFile(`${path}: no rows under the header`)
  return inOrder(collected)
}

/** Rows between two looks at how far the file is. */
const LOOK_EVERY = 10_000

/** A pipe has no size: nothing is said of how far it is. */
const sizeOf = async (path: string): Promise<number> => {
  const size = await stat(path).then(
    (s) => s.size,
    () => 0,
  )
  return size > 0 ? size : Number.POSITIVE_INFINITY
}

const explained = (error: unknown, path: string): Error => {
  if (error instanceof UnreadableFile) return new UnreadableFile(`${path}: ${error.message}`)
  if (error instanceof CsvError)
    return new UnreadableFile(`${path}: not a readable CSV file: ${printable(error.message)}`)
  const code = (error as NodeJS.ErrnoException).code
  if (code === 'ENOENT') return new UnreadableFile(`${path}: no such file`)
  if (code === 'EISDIR') return new UnreadableFile(`${path}: is a folder, not a file`)
  if (code === 'EACCES') return new UnreadableFile(`${path}: may not be read`)
  return error instanceof Error ? error : new Error(String(error))
}

/** Text from the file may hold anything; a terminal and a log get one plain line of it. */
const printable = (text: string): string =>
  [...text.slice(0, 160)].map((c) => (c < ' ' || c > '~' ? '?' : c)).join('')

/** Where a row stands: its line in the file, and its number under the header. */
export interface RowPlace {
  readonly line: number
  readonly data: number
}

const named = ({ line, data }: RowPlace): string => `row ${line} (data row ${data})`

const placesIn = (header: readonly string[]): Place => {
  if (header.some((name) => hasControlCharacter(name)))
    throw new UnreadableFile('not a CSV text file: the first line holds bytes that are no text')
  const missing = REQUIRED.filter((name) => !header.includes(name))
  if (missing.length > 0) {
    const found = printable(header.join(','))
    throw new UnreadableFile(`row 1 (header): column ${missing.join(' and ')} is missing; found: ${found}`)
  }
  return {
    time: header.indexOf('time'),
    dissolved_ozone_mg_l: header.indexOf('dissolved_ozone_mg_l'),
    temperature_c: header.indexOf('temperature_c'),
  }
}

const hasControlCharacter = (text: string): boolean =>
  [...text].some((c) => c < ' ' || c === '\uFFFD' || c === '\u007f')

interface Collected {
  readonly ms: GrowingColumn
  readonly potency: GrowingColumn
  readonly celsius: GrowingColumn
  empty: number
}

const takeRow = (record: readonly string[], row: RowPlace, place: Place, into: Collected): void => {
  into.ms.push(timeOf(record[place.time] ?? '', named(row)))
  const potency = numberOf(record[place.dissolved_ozone_mg_l] ?? '', row, 'dissolved_ozone_mg_l')
  if (Number.isNaN(potency)) into.empty++
  into.potency.push(potency)
  into.celsius.push(
    place.temperature_c < 0 ? Number.NaN : numberOf(record[place.temperature_c] ?? '', row, 'temperature_c'),
  )
}

/** ISO-8601 with an offset or Z: a time without one names no moment, twice a year not even a local one. */
export const timeOf = (text: string, where: string): number => {
  const ms = WITH_OFFSET.test(text) ? Date.parse(text.replace(' ', 'T')) : Number.NaN
  if (!Number.isNaN(ms)) return ms
  throw new UnreadableFile(
    LOOKS_LIKE_TIME.test(text) && !/(Z|[+-]\d\d:?\d\d)$/i.test(text)
      ? `${where}, column time: "${printable(text)}" has no offset; write 2026-03-04T14:00:00Z or …+01:00`
      : `${where}, column time: "${printable(text).slice(0, 40)}" is not an ISO-8601 time such as 2026-03-04T14:00:00Z`,
  )
}

/** What a person or a logger writes; not the hexadecimal and octal forms that a programming language knows. */
const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/

const numberOf = (text: string, row: RowPlace, column: string): number => {
  if (text === '') return Number.NaN
  const value = DECIMAL.test(text) ? Number(text) : Number.NaN
  if (Number.isFinite(value)) return value
  throw new UnreadableFile(
    `${named(row)}, column ${column}: "${printable(text).slice(0, 40)}" is not a number`,
  )
}

/** Rows in order of time; of rows with one time the last one counts, as a re-sent line replaces the first. */
const inOrder = ({ ms, potency, celsius, empty }: Collected): CsvBatch => {
  const n = ms.length
  const times = ms.values()
  let outOfOrder = 0
  let latest = Number.NEGATIVE_INFINITY
  for (const t of times) {
    if (t < latest) outOfOrder++
    else latest = t
  }
  const order = outOfOrder === 0 ? undefined : sortedIndices(times)
  const at = (i: number): number => (order === undefined ? i : (order[i] as number))
  const kept = new Uint32Array(n)
  let count = 0
  for (let i = 0; i < n; i++) {
    if (i + 1 === n || times[at(i + 1)] !== times[at(i)]) kept[count++] = at(i)
  }
  const startMs = times[at(0)] as number
  const picked = (values: Float64Array): Float64Array => {
    if (order === undefined && count === n) return values
    const out = new Float64Array(count)
    for (let i = 0; i < count; i++) out[i] = values[kept[i] as number] as number
    return out
  }
  return {
    startMs,
    timesS: picked(times).map((ms) => (ms - startMs) / 1000),
    potency: picked(potency.values()),
    celsius: picked(celsius.values()),
    rows: { read: n, empty_cells: empty, out_of_order: outOfOrder, doubled: n - count },
  }
}

const sortedIndices = (times: Float64Array): Uint32Array =>
  Uint32Array.from({ length: times.length }, (_, i) => i).sort(
    (a, b) => (times[a] as number) - (times[b] as number) || a - b,
  )
