import type { EnvelopePoint } from '../../ingest/store/store.ts'
import { timeUs } from '../../ingest/units.ts'
import { median, type Row } from './row.ts'
import { benchWritten } from './written.ts'
import { BENCH_SERIES, DAY_S, type LongFile, longFile } from './year-file.ts'

const YEAR = 365
const COLUMNS = 1000
/** Neither end falls on a minute. */
const FROM_S = 17.5

const spans = (days: number): number[] => [1, 14, 90, YEAR].filter((d) => d < days).concat(days)

/** Any range of a year of 1 Hz on one channel as 1,000 plot columns; peer: the same columns from raw readings. */
export const benchRanges = (days = YEAR): Row[] => {
  console.error(`  making ${days} days of 1 Hz (${((days * DAY_S) / 1e6).toFixed(1)} M readings) …`)
  const file = longFile(days)
  // with so many readings not rolled up yet the store itself reads raw
  const raw = spans(days).map((d) => timed(() => columns(file, d)))
  const before = pages(file)
  const rolling = rollUp(file)
  const rows = spans(days).flatMap((d, i): Row[] => {
    const ours = median(Array.from({ length: 5 }, () => timed(() => columns(file, d)).ms))
    const peer = raw[i]?.ms ?? Number.NaN
    const wrong = differences(columns(file, d), raw[i]?.made ?? [])
    // both are the same readings: one column that differs is a fault of the program
    if (wrong > 0) process.exitCode = 1
    const opened: Row = {
      what: `${d} d of 1 Hz as ${COLUMNS} exact columns`,
      ours: `${ours.toFixed(1)} ms`,
      peer: `${peer.toFixed(0)} ms all from raw readings`,
      ratio: ours / peer,
      budget: '≤ 500 ms',
    }
    return [
      opened,
      { ...opened, what: '  of its columns differ from the raw ones', ours: String(wrong), ...NO_PEER },
    ]
  })
  const size = sizes(file, before, days * DAY_S)
  file.remove()
  return [...rows, ...rolling, ...size, ...benchWritten()]
}

const NO_PEER = { peer: '', ratio: null, budget: '0' } as const

const columns = ({ store }: LongFile, days: number): EnvelopePoint[] =>
  store.envelopeNow(BENCH_SERIES, timeUs(FROM_S * 1e6), timeUs(days * DAY_S * 1e6 - 12.5e6), COLUMNS)

const timed = <T>(work: () => T): { readonly made: T; readonly ms: number } => {
  const start = performance.now()
  const made = work()
  return { made, ms: performance.now() - start }
}

/** Columns that are not the same to the last bit: time, least, greatest, mean and both counts. */
const differences = (ours: readonly EnvelopePoint[], raw: readonly EnvelopePoint[]): number =>
  Math.abs(ours.length - raw.length) +
  ours.filter((column, i) => JSON.stringify(column) !== JSON.stringify(raw[i])).length

const rollUp = ({ store }: LongFile): Row[] => {
  const steps: number[] = []
  const start = performance.now()
  for (let done = 1; done > 0; ) {
    const at = performance.now()
    done = store.rollUp.step(5000)
    steps.push(performance.now() - at)
  }
  const all = performance.now() - start
  return [
    {
      what: 'rolling up an old file, longest step of 5,000 readings',
      ours: `${Math.max(...steps).toFixed(0)} ms`,
      peer: `${median(steps).toFixed(1)} ms median, ${(all / 1000).toFixed(0)} s in all`,
      ratio: null,
      budget: '',
    },
  ]
}

const pages = ({ store }: LongFile): number =>
  Number(store.db.pragma('page_count', { simple: true })) *
  Number(store.db.pragma('page_size', { simple: true }))

const sizes = (file: LongFile, before: number, readings: number): Row[] => [
  {
    what: 'size of the file per reading, roll-ups included',
    ours: `${(pages(file) / readings).toFixed(1)} bytes`,
    peer: `${(before / readings).toFixed(1)} bytes without roll-ups`,
    ratio: pages(file) / before,
    budget: '',
  },
]
