import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import type { Command } from 'commander'
import { parse } from 'csv-parse'
import { judge, PLAUSIBLE_RANGE } from '../../ingest/reading/quality.ts'
import type { Channel, NewReading } from '../../ingest/reading/reading.ts'
import { timeUs } from '../../ingest/units.ts'
import { batchNumber } from '../acting/batch-number.ts'
import { readSurroundings } from '../config.ts'
import { messageOf, ServerError } from '../errors.ts'
import { batchOpened, type EntryData, type EntryKind } from '../ledger/entry.ts'
import type { NewEntry } from '../ledger/ledger.ts'
import { type ImportedRow, importRow, printable, readHeader } from './import-row.ts'
import { configOf, openLedgerOf, openReadingsOf } from './open-home.ts'

interface ImportOptions {
  readonly who: string
  readonly fluid: string
  readonly volumeMl: string
  readonly lot?: string
  readonly target?: string
  readonly rangeMax?: string
  readonly ozoneOn?: string
  readonly ozoneOff?: string
  readonly flowOff?: string
}

/** Bench under which imported batches stand: no instrument of the wiring is ever there. */
const BENCH = 'imported'
const AT_ONCE = 5000

export const registerImport = (program: Command): void => {
  program
    .command('import')
    .description('make a batch from a CSV log (columns time, dissolved_ozone_mg_l, temperature_c)')
    .argument('<file>', 'CSV file; the same file again changes nothing')
    .requiredOption('--who <name>', 'who imports it')
    .requiredOption('--fluid <fluid>', 'saline, distilled, filtered or other')
    .requiredOption('--volume-ml <ml>', 'volume of the fill')
    .option('--lot <lot>', 'lot of the fluid')
    .option('--target <mg/L>', 'target potency')
    .option('--range-max <mg/L>', 'full scale of the meter')
    .option('--ozone-on <time>', 'ISO 8601 with offset')
    .option('--ozone-off <time>', 'ISO 8601 with offset')
    .option('--flow-off <time>', 'ISO 8601 with offset')
    .action(importFile)
}

const importFile = async (file: string, options: ImportOptions): Promise<void> => {
  const opened = settingsOf(options)
  const events = (['ozone-on', 'ozone-off', 'flow-off'] as const).flatMap((kind) => eventOf(kind, options))
  const { home } = readSurroundings()
  const { zone } = configOf(home)
  const { rows, hash } = await readRows(file)
  const first = rows[0]
  const last = rows.at(-1)
  if (!first || !last)
    throw new ServerError('bad-request', `${file} holds no row with a time`, {
      fix: 'export one with "spargewatch export" to see the layout',
    })

  const store = openReadingsOf(home, true)
  const instrument = `import:${hash.slice(0, 8)}`
  store.wireMore(
    ['dissolved-ozone', 'fluid-temperature'].map((channel) => ({
      site: '',
      bench: BENCH,
      instrument,
      channel: channel as 'dissolved-ozone' | 'fluid-temperature',
      unit: channel === 'dissolved-ozone' ? 'mg/L' : '°C',
      port: 'import',
      fullScale: options.rangeMax && channel === 'dissolved-ozone' ? Number(options.rangeMax) : null,
      intervalS: 1,
      wired: false,
    })),
  )
  let stored = 0
  let repeated = 0
  for (let i = 0; i < rows.length; i += AT_ONCE) {
    const result = store.appendNow(
      rows.slice(i, i + AT_ONCE).flatMap((row) => readingsOf(row, instrument, opened.rangeMax)),
    )
    stored += result.stored.length
    repeated += result.repeated
    if (result.conflicting.length > 0)
      throw new ServerError(
        'conflict',
        `${result.conflicting.length} readings of ${file} differ from readings already imported at the same time`,
      )
  }
  await store.close()

  const ledger = openLedgerOf(home)
  const id = idFrom(hash, 'batch')
  const openedAt = new Date(first.timeUs / 1000).toISOString()
  const entry = <K extends EntryKind>(
    name: string,
    kind: K,
    at: string,
    data: EntryData<K>,
  ): NewEntry<K> => ({
    id: idFrom(hash, name),
    happened_at: at,
    entered_at: new Date().toISOString(),
    bench: BENCH,
    batch: id,
    who: { name: options.who, how: 'typed' },
    why: `imported from ${instrument}`,
    kind,
    data,
  })
  const there = ledger.byId(idFrom(hash, 'opened'))
  const number =
    there?.kind === 'batch-opened'
      ? there.data.number
      : batchNumber(BENCH, openedAt, zone, ledger.ofKind('batch-opened'))
  const entries: NewEntry[] = [
    entry('opened', 'batch-opened', openedAt, { ...opened.settings, number }),
    ...events.map(({ kind, at }) => entry(`${kind} ${at}`, kind, at, {})),
    entry('discarded', 'discarded', new Date(last.timeUs / 1000 + 1).toISOString(), {}),
  ]
  if (!there) ledger.appendAll(entries)
  ledger.close()
  console.log(
    `${there ? 'Already imported' : 'Imported'} ${file} as batch ${number} (${id}): ${stored} readings stored, ${repeated} already there.`,
  )
}

const settingsOf = ({ fluid, volumeMl, lot, target, rangeMax }: ImportOptions) => {
  const parsed = batchOpened.safeParse({
    fluid,
    volume_ml: Number(volumeMl),
    ...(lot === undefined ? {} : { lot }),
    ...(target === undefined ? {} : { target_mg_l: Number(target) }),
    measuring_place: 'in-the-flask',
    purge: 'none',
  })
  if (!parsed.success)
    throw new ServerError(
      'bad-request',
      parsed.error.issues.map((i) => `--${String(i.path[0]).replaceAll('_', '-')}: ${i.message}`).join('; '),
    )
  const full = rangeMax === undefined ? undefined : Number(rangeMax)
  if (full !== undefined && !(full > 0))
    throw new ServerError('bad-request', `--range-max needs a number over 0, got ${rangeMax}`)
  return { settings: parsed.data, rangeMax: full }
}

const OPTION = { 'ozone-on': 'ozoneOn', 'ozone-off': 'ozoneOff', 'flow-off': 'flowOff' } as const

const eventOf = (
  kind: keyof typeof OPTION,
  options: ImportOptions,
): { kind: keyof typeof OPTION; at: string }[] => {
  const text = options[OPTION[kind]]
  if (text === undefined) return []
  if (!/(Z|[+-]\d\d:?\d\d)$/.test(text) || Number.isNaN(Date.parse(text)))
    throw new ServerError('bad-request', `--${kind} needs an ISO 8601 time with its offset, got ${text}`)
  return [{ kind, at: new Date(text).toISOString() }]
}

const readRows = async (file: string): Promise<{ rows: ImportedRow[]; hash: string }> => {
  const hash = createHash('sha256')
  const input = createReadStream(file)
  input.on('data', (chunk) => hash.update(chunk))
  const parser = input.pipe(
    parse({
      comment: '#',
      comment_no_infix: true,
      skip_empty_lines: true,
      trim: true,
      bom: true,
      info: true,
      relax_column_count: true,
      max_record_size: 65_536,
    }),
  )
  input.on('error', (error) => parser.destroy(error))
  const rows = new Map<number, ImportedRow>()
  let header: ReturnType<typeof readHeader> | undefined
  try {
    for await (const { record, info } of parser as AsyncIterable<{
      record: string[]
      info: { lines: number }
    }>) {
      if (header === undefined) header = readHeader(record, info.lines)
      else {
        const row = importRow(record, header, info.lines)
        rows.set(row.timeUs, row)
      }
    }
  } catch (error) {
    if (error instanceof ServerError) throw new ServerError('bad-request', `${file}: ${error.message}`)
    throw new ServerError('bad-request', `${file} cannot be read as CSV: ${printable(messageOf(error))}`)
  }
  return { rows: [...rows.values()].sort((a, b) => a.timeUs - b.timeUs), hash: hash.digest('hex') }
}

const readingsOf = (row: ImportedRow, instrument: string, rangeMax: number | undefined): NewReading[] => {
  const base = { timeUs: timeUs(row.timeUs), bootId: 'imported', monoMs: row.timeUs / 1000, movedUs: 0 }
  const judged = (channel: Channel, value: number) =>
    judge(value, base.monoMs, {
      range: PLAUSIBLE_RANGE[channel],
      fullScale: channel === 'dissolved-ozone' ? rangeMax : undefined,
    })
  return [
    {
      ...base,
      series: { bench: BENCH, instrument, channel: 'dissolved-ozone' },
      raw: row.potency,
      value: row.potency,
      quality: row.potency === null ? 'fault' : judged('dissolved-ozone', row.potency),
    },
    ...(row.temperature === null
      ? []
      : [
          {
            ...base,
            series: { bench: BENCH, instrument, channel: 'fluid-temperature' as const },
            raw: row.temperature,
            value: row.temperature,
            quality: judged('fluid-temperature', row.temperature),
          },
        ]),
  ]
}

/** An id that the same file always gives, in the form of a UUID (version 8: made by the application). */
const idFrom = (hash: string, name: string): string => {
  const h = createHash('sha256').update(hash).update(name).digest('hex')
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-8${h.slice(13, 16)}-8${h.slice(17, 20)}-${h.slice(20, 32)}`
}
