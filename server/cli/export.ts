import { createWriteStream } from 'node:fs'
import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { type Command, InvalidArgumentError } from 'commander'
import { liveEstimate } from '../analysis/live.ts'
import { readSurroundings } from '../config.ts'
import { messageOf, ServerError } from '../errors.ts'
import { programVersion } from '../home-files.ts'
import type { Batch } from '../ledger/batch.ts'
import { batchReadingsCsv } from '../report/batch-readings-csv.ts'
import { BatchReports } from '../report/batch-report.ts'
import { keptDocuments, openResults } from '../report/kept-document.ts'
import { recordCsv } from '../report/record-csv.ts'
import { rulesFile, rulesFrom } from '../rules-file.ts'
import { timeOf } from './analyse-read.ts'
import { configOf, openLedgerOf, openReadingsOf } from './open-home.ts'

type What = 'readings' | 'record' | 'analysis' | 'all'

export const registerExport = (program: Command): void => {
  program
    .command('export')
    .description('write one batch as CSV (readings, record) or JSON (analysis, all)')
    .argument('<batch>', 'batch number (A-2026-03-14-2) or id')
    .option('--what <what>', 'readings, record, analysis or all', 'readings')
    .option('--out <file>', 'file to write; standard output when left out')
    .option('--ledger-entries <n>', 'as the ledger stood with this many entries (from a record)', count)
    .option('--readings <n>', 'with readings up to this arrival number (from a record)', count)
    .option('--at <time>', 'as worked out at this moment, ISO-8601 with an offset (from a record)', moment)
    .action(exportBatch)
}

interface ExportOptions {
  readonly what: string
  readonly out?: string
  readonly ledgerEntries?: number
  readonly readings?: number
  readonly at?: number
}

const exportBatch = async (wanted: string, options: ExportOptions): Promise<void> => {
  const { what, out } = options
  if (!isWhat(what))
    throw new ServerError('bad-request', `--what needs readings, record, analysis or all, got ${what}`)
  const { home } = readSurroundings()
  const config = configOf(home)
  const store = openReadingsOf(home, false)
  const ledger = openLedgerOf(home)
  const simulatedBenches = new Set(config.benches.filter((b) => b.simulated).map((b) => b.id))
  const simulated = (bench: string) => config.simulated || simulatedBenches.has(bench)
  const { rules } = rulesFrom(rulesFile(home))
  const results = openResults(config, false)
  const tellTrouble = (error: unknown) => void process.stderr.write(`spargewatch: ${messageOf(error)}\n`)
  const reports = new BatchReports({
    store,
    ledger,
    programVersion: programVersion(),
    asOf: {
      ledgerEntries: options.ledgerEntries ?? ledger.head().entries,
      readingsSeq: options.readings ?? store.newestSeq(),
      atMs: options.at ?? Date.now(),
    },
    estimator: liveEstimate,
    rulesOfThumb: () => rules,
    simulated,
    nowMs: Date.now,
    ...(results ? { kept: keptDocuments(results, ledger, tellTrouble) } : {}),
  })
  const batch = findBatch(reports, wanted)
  const text = content(what, batch, reports, () =>
    batchReadingsCsv(batch, {
      store,
      ledger,
      site: config.site,
      simulated: simulated(batch.bench),
      nowMs: Date.now(),
    }),
  )
  await pipeline(Readable.from(text), out === undefined ? process.stdout : createWriteStream(out), {
    end: out !== undefined,
  })
  results?.close()
  ledger.close()
  await store.close()
}

const count = (text: string): number => {
  if (!/^\d{1,15}$/.test(text)) throw new InvalidArgumentError('It needs a whole number.')
  return Number(text)
}

const moment = (text: string): number => {
  try {
    return timeOf(text, 'option')
  } catch {
    throw new InvalidArgumentError('It needs an ISO-8601 time with an offset, such as 2026-03-04T14:00:00Z.')
  }
}

const isWhat = (what: string): what is What => ['readings', 'record', 'analysis', 'all'].includes(what)

const findBatch = (reports: BatchReports, wanted: string): Batch => {
  for (const batch of reports.batches())
    if (batch.id === wanted || batch.settings.number === wanted) return batch
  throw new ServerError('not-found', `no batch ${wanted} in this home`, {
    fix: 'the batch list on screen shows the numbers',
  })
}

const content = (
  what: What,
  batch: Batch,
  reports: BatchReports,
  readings: () => Iterable<string>,
): Iterable<string> => {
  switch (what) {
    case 'readings':
      return readings()
    case 'record':
      return recordCsv(batch)
    case 'analysis':
      return [`${JSON.stringify(reports.analysis(batch), null, 2)}\n`]
    case 'all':
      return [`${JSON.stringify(reports.record(batch), null, 2)}\n`]
  }
}
