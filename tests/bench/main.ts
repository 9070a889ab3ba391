import { benchBrowser } from './browser-load.ts'
import { printCalibratedCoverage } from './calibrated-coverage.ts'
import { printClinicTable } from './clinic-table.ts'
import { printCoverage } from './coverage.ts'
import { printDipTable } from './dip-table.ts'
import { benchFirstView } from './first-view.ts'
import { benchFits } from './fits.ts'
import { printForecastTable } from './forecast-table.ts'
import { printIntervalTable } from './interval-table.ts'
import { benchLineToScreen } from './line-to-screen.ts'
import { benchLogging } from './logging.ts'
import { benchOutage } from './outage.ts'
import { printPhaseTable } from './phase-table.ts'
import { benchRanges } from './ranges.ts'
import { printRows, type Row } from './row.ts'
import { benchServerLoad } from './server-load.ts'
import { printSpotTable } from './spot-table.ts'
import { benchStart } from './start.ts'
import { benchTrial } from './trial-view.ts'

/** Tables of counted batches print themselves; without a number each takes as many as keep the whole run short. */
type Part = (replicates?: number) => Promise<Row[]> | Row[]

const table =
  (...prints: readonly ((replicates?: number) => void)[]): Part =>
  (replicates) => {
    for (const print of prints) print(replicates)
    return []
  }

const PARTS: Readonly<Record<string, Part>> = {
  fits: benchFits,
  logging: benchLogging,
  ranges: benchRanges,
  screen: benchLineToScreen,
  load: benchServerLoad,
  view: benchFirstView,
  browser: benchBrowser,
  start: benchStart,
  outage: benchOutage,
  coverage: table(printCoverage, printCalibratedCoverage),
  intervals: table(printIntervalTable),
  forecast: table(printForecastTable),
  trial: benchTrial,
  spot: table(printSpotTable),
  phases: table(printPhaseTable),
  dips: table(printDipTable),
  clinics: table(printClinicTable),
}

const isCount = (word: string): boolean => /^[1-9]\d*$/.test(word)
const words = process.argv.slice(2)
const counted = words.find(isCount)
const replicates = counted === undefined ? undefined : Number(counted)
const wanted = words.filter((word) => !isCount(word))
const unknown = wanted.filter((name) => !(name in PARTS))
if (unknown.length > 0) {
  console.error(`bench: no part ${unknown.join(', ')}; there are ${Object.keys(PARTS).join(', ')}`)
  process.exit(2)
}
const rows: Row[] = []
for (const [name, part] of Object.entries(PARTS)) {
  if (wanted.length > 0 && !wanted.includes(name)) continue
  console.error(`measuring: ${name} …`)
  rows.push(...(await part(replicates)))
}
if (rows.length > 0) printRows(rows)
process.exit()
