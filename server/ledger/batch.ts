import type { Entry, EntryData, EntryOf } from './entry.ts'

/**
 * A batch is a fold over its entries: one fill of one flask, from opening to discard.
 * Entries taken back (`undone`) no longer count, but stay in `entries`.
 */
export interface Batch {
  readonly id: string
  readonly bench: string
  readonly settings: EntryData<'batch-opened'>
  readonly openedAt: string
  readonly openedBy: string
  readonly ozoneOnAt: readonly string[]
  readonly ozoneOffAt: readonly string[]
  readonly flowOffAt: readonly string[]
  /** The three above in the order they happened. */
  readonly gas: readonly GasMoment[]
  /** By how much at least the wall clock was set back since the opening, ms. */
  readonly setBackMs: number
  readonly draws: readonly {
    readonly id: string
    readonly at: string
    readonly data: EntryData<'drawn-up'>
  }[]
  readonly handReadings: readonly { readonly at: string; readonly data: EntryData<'reading-by-hand'> }[]
  readonly spotReadings: readonly { readonly at: string; readonly data: EntryData<'spot-reading'> }[]
  readonly probeOut: readonly { readonly from: string; readonly to: string | null }[]
  readonly discardedAt: string | null
  readonly leftMl: number
  readonly newestSeq: number
  readonly entries: readonly Entry[]
  readonly undone: ReadonlySet<string>
}

export interface GasMoment {
  readonly kind: 'bubbling' | 'purge' | 'standing'
  readonly since: string
  /** The same moment on a clock that was never set back since the opening. */
  readonly atMs: number
}

export type GasState = 'set-up' | 'bubbling' | 'purge' | 'standing' | 'discarded'

const GAS_AFTER: Readonly<Partial<Record<Entry['kind'], GasMoment['kind']>>> = {
  'ozone-on': 'bubbling',
  'ozone-off': 'purge',
  'flow-off': 'standing',
}
const GAS_ORDER: Readonly<Partial<Record<Entry['kind'], number>>> = {
  'ozone-on': 0,
  'ozone-off': 1,
  'flow-off': 2,
}

/**
 * Entries in the order they happened, those entered late in their place. Entries are numbered as they are entered,
 * so one entered "before" the one it follows tells that the wall clock was set back in between, and by how much
 * at least: what comes after is moved by that. Gas events of one moment keep their natural order.
 */
const asHappened = (entries: readonly Entry[]) => {
  let setBackMs = 0
  let latestMs = Number.NEGATIVE_INFINITY
  const placed = entries
    .map((entry) => {
      const enteredMs = Date.parse(entry.entered_at)
      setBackMs = Math.max(setBackMs, latestMs - enteredMs)
      latestMs = enteredMs + setBackMs
      return { entry, atMs: Date.parse(entry.happened_at) + setBackMs }
    })
    .sort(
      (a, b) =>
        a.atMs - b.atMs ||
        (GAS_ORDER[a.entry.kind] ?? 0) - (GAS_ORDER[b.entry.kind] ?? 0) ||
        a.entry.seq - b.entry.seq,
    )
  return { placed, setBackMs }
}

/** Undefined when the entries do not begin with an opening. */
export const foldBatch = (entries: readonly Entry[]): Batch | undefined => {
  const undone = new Set(
    entries.filter((e): e is EntryOf<'undone'> => e.kind === 'undone').map((e) => e.data.entry),
  )
  const valid = entries.filter((e) => !undone.has(e.id))
  const opened = entries.find((e): e is EntryOf<'batch-opened'> => e.kind === 'batch-opened')
  if (!opened || opened.batch === null || opened.bench === null) return undefined
  const { placed, setBackMs } = asHappened(entries)
  const counting = placed.filter(({ entry }) => !undone.has(entry.id))
  const inOrder = counting.map(({ entry }) => entry)
  const times = (kind: Entry['kind']) => inOrder.filter((e) => e.kind === kind).map((e) => e.happened_at)
  const settings = corrected(
    opened.data,
    valid.filter((e): e is EntryOf<'correction'> => e.kind === 'correction' && e.data.entry === opened.id),
  )
  const draws = inOrder
    .filter((e): e is EntryOf<'drawn-up'> => e.kind === 'drawn-up')
    .map((e) => ({ id: e.id, at: e.happened_at, data: e.data }))
  return {
    id: opened.batch,
    bench: opened.bench,
    settings,
    openedAt: opened.happened_at,
    openedBy: opened.who.name,
    ozoneOnAt: times('ozone-on'),
    ozoneOffAt: times('ozone-off'),
    flowOffAt: times('flow-off'),
    gas: counting.flatMap(({ entry, atMs }) => {
      const kind = GAS_AFTER[entry.kind]
      return kind === undefined ? [] : [{ kind, since: entry.happened_at, atMs }]
    }),
    setBackMs,
    draws,
    handReadings: inOrder
      .filter((e): e is EntryOf<'reading-by-hand'> => e.kind === 'reading-by-hand')
      .map((e) => ({ at: e.happened_at, data: e.data })),
    spotReadings: inOrder
      .filter((e): e is EntryOf<'spot-reading'> => e.kind === 'spot-reading')
      .map((e) => ({ at: e.happened_at, data: e.data })),
    probeOut: probeOutSpans(inOrder),
    discardedAt: times('discarded').at(-1) ?? null,
    leftMl: settings.volume_ml - draws.reduce((sum, d) => sum + d.data.ml, 0),
    newestSeq: entries.at(-1)?.seq ?? 0,
    entries,
    undone,
  }
}

/** Corrections to the opening apply in the order they were entered; the old value stays in the entry. */
const corrected = (
  data: EntryData<'batch-opened'>,
  corrections: readonly EntryOf<'correction'>[],
): EntryData<'batch-opened'> =>
  Object.assign({}, data, ...corrections.map((c) => ({ [c.data.field]: c.data.new })))

const probeOutSpans = (entries: readonly Entry[]): { from: string; to: string | null }[] => {
  const spans: { from: string; to: string | null }[] = []
  for (const entry of entries) {
    const open = spans.at(-1)
    if (entry.kind === 'probe-out' && (!open || open.to !== null))
      spans.push({ from: entry.happened_at, to: null })
    if (entry.kind === 'probe-in' && open && open.to === null) open.to = entry.happened_at
  }
  return spans
}

export const fluidOf = ({ settings }: Pick<Batch, 'settings'>) => ({
  fluid: settings.fluid,
  detail: settings.fluid_detail,
})

/** What the gas is doing, from the entries alone, and since when. */
export const gasState = (batch: Batch): { kind: GasState; since: string } => {
  if (batch.discardedAt) return { kind: 'discarded', since: batch.discardedAt }
  const newest = batch.gas.at(-1)
  return newest ?? { kind: 'set-up', since: batch.openedAt }
}
