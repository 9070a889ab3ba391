import type { Command } from 'commander'
import { readSurroundings } from '../config.ts'
import { storeView } from '../routes/store-view.ts'
import type { Health } from '../wire.ts'
import { configOf, openReadingsOf } from './open-home.ts'

export const registerStoreSize = (program: Command): void => {
  const store =
    program.commands.find((c) => c.name() === 'store') ??
    program
      .command('store')
      .description('files of readings: size, growth, and the other place they are sent on to')
  store
    .command('size')
    .description('size of the files, how fast they grow, and when the disk is full at that rate')
    .option('--json', 'as one JSON document')
    .action(async ({ json }: { json?: boolean }) => {
      const { home } = readSurroundings()
      const readings = openReadingsOf(home, false)
      const view = storeView({ config: configOf(home), store: readings }, Date.now())
      await readings.close()
      console.log(json ? JSON.stringify(view, null, 2) : linesOf(view).join('\n'))
    })
}

const linesOf = (view: Health['store']): string[] => {
  const rows: readonly (readonly [string, string])[] = [
    ['readings', String(view.readings)],
    ['file of readings', bytes(view.readings_file_bytes)],
    ['of that free inside', bytes(view.free_in_file_bytes)],
    ['file of the record', bytes(view.ledger_file_bytes)],
    ['per reading', view.bytes_per_reading === null ? 'too few to tell' : bytes(view.bytes_per_reading)],
    [
      'readings a day now',
      view.readings_per_day === null ? 'not known yet' : view.readings_per_day.toFixed(0),
    ],
    ['raw readings kept', view.keep_raw_days === null ? 'all' : `${view.keep_raw_days} days`],
    ['free on the disk', `${bytes(view.disk_free_bytes)} of ${bytes(view.disk_total_bytes)}`],
    ['disk full at this rate', view.disk_full_at ?? fullUnknown(view)],
  ]
  const warning = view.disk_nearly_full ? ['DISK NEARLY FULL: make room, or set store: keep_raw_days'] : []
  const left =
    view.not_rolled_up > 0 ? [`${view.not_rolled_up} older readings are still to be rolled up`] : []
  return [...rows.map(([name, value]) => `${name.padEnd(24)}${value}`), ...left, ...warning]
}

const fullUnknown = (view: Health['store']): string =>
  view.readings_per_day === null || view.bytes_per_reading === null ? 'not known yet' : 'not within a century'

const bytes = (count: number): string => {
  const units = ['bytes', 'kB', 'MB', 'GB', 'TB']
  const power = count < 1000 ? 0 : Math.min(units.length - 1, Math.floor(Math.log10(count) / 3))
  return `${(count / 1000 ** power).toFixed(power === 0 ? 0 : 1)} ${units[power]}`
}
