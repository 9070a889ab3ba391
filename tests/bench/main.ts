import { benchFirstView } from './first-view.ts'
import { benchFits } from './fits.ts'
import { benchLineToScreen } from './line-to-screen.ts'
import { benchLogging } from './logging.ts'
import { benchRanges } from './ranges.ts'
import { printRows, type Row } from './row.ts'
import { benchServerLoad } from './server-load.ts'
import { benchStart } from './start.ts'

const PARTS: Readonly<Record<string, () => Promise<Row[]> | Row[]>> = {
  fits: benchFits,
  logging: benchLogging,
  ranges: benchRanges,
  screen: benchLineToScreen,
  load: benchServerLoad,
  view: benchFirstView,
  start: benchStart,
}

const wanted = process.argv.slice(2)
const unknown = wanted.filter((name) => !(name in PARTS))
if (unknown.length > 0) {
  console.error(`bench: no part ${unknown.join(', ')}; there are ${Object.keys(PARTS).join(', ')}`)
  process.exit(2)
}
const rows: Row[] = []
for (const [name, part] of Object.entries(PARTS)) {
  if (wanted.length > 0 && !wanted.includes(name)) continue
  console.error(`measuring: ${name} …`)
  rows.push(...(await part()))
}
printRows(rows)
process.exit(0)
