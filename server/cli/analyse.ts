import { type Command, InvalidArgumentError, Option } from 'commander'
import { timeUs } from '../../ingest/units.ts'
import { analyseBatch } from '../analysis/analyse-batch.ts'
import type { AnalysisEvent, AnalysisInput } from '../analysis/input.ts'
import type { Analysis } from '../analysis/schema.ts'
import type { ExpectationInput, Fluid } from '../model/expectation.ts'
import { rulesFrom } from '../rules-file.ts'
import { type CsvBatch, readBatchFile, timeOf, UnreadableFile } from './analyse-read.ts'
import { analysisTable } from './analyse-table.ts'
import { createProgress, type Progress } from './progress.ts'

/** Options of `spargewatch analyse`, as commander hands them over. Times are milliseconds since 1970. */
export interface AnalyseOptions {
  readonly json?: boolean
  readonly ozoneOn?: readonly number[]
  readonly ozoneOff?: readonly number[]
  readonly flowOff?: readonly number[]
  readonly gasOn?: readonly number[]
  readonly gasOff?: readonly number[]
  readonly probeLagS?: number
  readonly readingUPercent?: number
  readonly roomC?: number
  readonly target?: number
  readonly rangeMax?: number
  readonly fluid?: Fluid
  readonly volumeMl?: number
  readonly gasUgPerNml?: number
  readonly flowMlPerMin?: number
  readonly rulesOfThumb?: string
}

/** Part of a stated probe time constant that is uncertain when nothing else is known. Engineering judgement. */
const LAG_UNCERTAINTY = 0.1

/** Adds `analyse FILE.csv` to the program. */
export const registerAnalyse = (program: Command): void => {
  program
    .command('analyse')
    .description('analyse a batch file: columns time, dissolved_ozone_mg_l, temperature_c')
    .argument(
      '<file>',
      'CSV file; times in ISO-8601 with an offset; empty cell = no reading; # starts a comment line',
    )
    .option('--json', 'print the analysis as one JSON document')
    .option('--ozone-on <time>', 'ozone on (repeatable)', times, [])
    .option('--ozone-off <time>', 'ozone off, flow goes on (repeatable)', times, [])
    .option('--flow-off <time>', 'flow off (repeatable)', times, [])
    .option('--gas-on <time>', 'the same as --ozone-on (repeatable)', times, [])
    .option('--gas-off <time>', 'ozone and flow off together (repeatable)', times, [])
    .option('--probe-lag-s <seconds>', 'time constant of the probe', notNegative)
    .option('--reading-u-percent <percent>', 'spot readings, each with this standard uncertainty', positive)
    .option('--room-c <celsius>', 'room temperature', number)
    .option('--target <mg/L>', 'target potency', positive)
    .option('--range-max <mg/L>', 'full scale of the meter', positive)
    .addOption(new Option('--fluid <fluid>', 'fluid').choices(['saline', 'distilled', 'filtered', 'other']))
    .option('--volume-ml <mL>', 'volume in the flask', positive)
    .option('--gas-ug-per-nml <µg/NmL>', 'ozone in the gas per normal mL (0 °C, 101.325 kPa)', positive)
    .option('--flow-ml-per-min <mL/min>', 'gas flow', positive)
    .option('--rules-of-thumb <file>', 'rules of thumb to hold the batch against, as a clinic keeps them')
    .action(async (file: string, options: AnalyseOptions) => {
      process.exitCode = await analyseCommand(file, options)
    })
}

/** Analyses a file and prints the result. 0 when printed; 2 with one line on stderr when the file cannot be read. */
export const analyseCommand = async (file: string, options: AnalyseOptions): Promise<0 | 2> => {
  try {
    const progress = createProgress()
    const analysis = await analyseFile(file, options, progress)
    progress.end()
    process.stdout.write(
      options.json === true ? `${JSON.stringify(analysis, null, 2)}\n` : analysisTable(analysis),
    )
    return 0
  } catch (error) {
    if (!(error instanceof UnreadableFile)) throw error
    process.stderr.write(`${error.message}\n`)
    return 2
  }
}

/** Fewer are fitted before anybody wonders. */
const MANY_ROWS = 100_000

export const analyseFile = async (
  file: string,
  options: AnalyseOptions,
  progress?: Progress,
): Promise<Analysis> => {
  const batch = await readBatchFile(file, progress)
  if (batch.rows.read > MANY_ROWS) progress?.say(0, `fitting ${batch.rows.read} rows`)
  const analysis = analyseBatch(inputOf(batch, options))
  const { schema, readings, ...rest } = analysis
  return { schema, readings, rows: { ...batch.rows }, ...rest }
}

const inputOf = (batch: CsvBatch, options: AnalyseOptions): AnalysisInput => {
  const expectation = expectationOf(batch, options)
  const hasTemperature = batch.celsius.some((c) => !Number.isNaN(c))
  const optional = {
    probeLag:
      options.probeLagS === undefined
        ? undefined
        : { tauS: options.probeLagS, uS: options.probeLagS * LAG_UNCERTAINTY },
    rangeMaxMgPerL: options.rangeMax,
    targetMgPerL: options.target,
    roomC: options.roomC,
    readingUPercent: options.readingUPercent,
    rulesOfThumb: options.rulesOfThumb === undefined ? undefined : rulesOption(options.rulesOfThumb),
    expectation,
    temperature: hasTemperature ? { timesS: batch.timesS, celsius: batch.celsius } : undefined,
  }
  return {
    startUs: timeUs(batch.startMs * 1000),
    timesS: batch.timesS,
    potencyMgPerL: batch.potency,
    events: eventsOf(batch, options),
    nowS: endOf(batch.timesS),
    ...withoutUndefined(optional),
  }
}

const rulesOption = (path: string) => {
  const { rules, fault } = rulesFrom(path)
  if (fault !== null) throw new UnreadableFile(`--rules-of-thumb: ${fault}`)
  return rules
}

/** The record ends one reading interval after its last row: the end of a phase is exclusive. */
const endOf = (timesS: Float64Array): number => {
  const n = timesS.length
  const last = timesS[n - 1] ?? 0
  return last + Math.min(60, n < 2 ? 1 : (last - (timesS[0] ?? 0)) / (n - 1))
}

const eventsOf = (batch: CsvBatch, options: AnalyseOptions): AnalysisEvent[] => {
  const at = (kind: AnalysisEvent['kind'], moments: readonly number[] | undefined) =>
    (moments ?? []).map((ms) => ({ kind, atS: (ms - batch.startMs) / 1000 }))
  return [
    ...at('ozone-on', options.ozoneOn),
    ...at('ozone-on', options.gasOn),
    ...at('ozone-off', options.ozoneOff),
    ...at('ozone-off', options.gasOff),
    ...at('flow-off', options.flowOff),
    ...at('flow-off', options.gasOff),
  ].sort((a, b) => a.atS - b.atS)
}

/** An expectation needs volume, gas and flow; temperature is the file's own where it has one. */
const expectationOf = (batch: CsvBatch, options: AnalyseOptions): ExpectationInput | undefined => {
  const { volumeMl, gasUgPerNml, flowMlPerMin } = options
  if (volumeMl === undefined || gasUgPerNml === undefined || flowMlPerMin === undefined) return undefined
  const measured = batch.celsius.find((c) => !Number.isNaN(c))
  const temperatureC = measured ?? options.roomC
  if (temperatureC === undefined) return undefined
  return {
    fluid: options.fluid ?? 'other',
    volumeMl,
    flowMlPerMin,
    gas: { ugPerMl: gasUgPerNml, reference: 'normal-0c-101kpa' },
    temperatureC,
  }
}

type Defined<T> = { [K in keyof T]?: Exclude<T[K], undefined> }

const withoutUndefined = <T extends object>(fields: T): Defined<T> =>
  Object.fromEntries(Object.entries(fields).filter(([, v]) => v !== undefined)) as Defined<T>

const times = (text: string, earlier: readonly number[]): number[] => {
  try {
    return [...earlier, timeOf(text, 'option')]
  } catch {
    throw new InvalidArgumentError('It needs an ISO-8601 time with an offset, such as 2026-03-04T14:00:00Z.')
  }
}

const number = (text: string): number => {
  const value = Number(text)
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It needs a number.')
  return value
}

const positive = (text: string): number => {
  const value = number(text)
  if (value <= 0) throw new InvalidArgumentError('It needs a number above 0.')
  return value
}

const notNegative = (text: string): number => {
  const value = number(text)
  if (value < 0) throw new InvalidArgumentError('It needs a number of at least 0.')
  return value
}
