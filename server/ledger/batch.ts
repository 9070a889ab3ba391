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
  readonly draws: readonly { readonly at: string; readonly data: EntryData<'drawn-up'> }[]
  readonly handReadings: readonly { readonly at: string; readonly data: EntryData<'reading-by-hand'> }[]
  readonly probeOut: readonly { readonly from: string; readonly to: string | null }[]
  readonly discardedAt: string | null
  readonly leftMl: number
  readonly newestSeq: number
  readonly entries: readonly Entry[]
  readonly undone: ReadonlySet<string>
}

export type GasState = 'set-up' | 'bubbling' | 'purge' | 'standing' | 'discarded'

/** Undefined when the entries do not begin with an opening. */
export const foldBatch = (entries: readonly Entry[]): Batch | undefined => {
  const undone = new Set(
    entries.filter((e): e is EntryOf<'undone'> => e.kind === 'undone').map((e) => e.data.entry),
  )
  const valid = entries.filter((e) => !undone.has(e.id))
  const opened = entries.find((e): e is EntryOf<'batch-opened'> => e.kind === 'batch-opened')
  if (!opened || opened.batch === null || opened.bench === null) return undefined
  const inOrder = [...valid].sort((a, b) => a.happened_at.localeCompare(b.happened_at) || a.seq - b.seq)
  const times = (kind: Entry['kind']) => inOrder.filter((e) => e.kind === kind).map((e) => e.happened_at)
  const settings = corrected(
    opened.data,
    valid.filter((e): e is EntryOf<'correction'> => e.kind === 'correction' && e.data.entry === opened.id),
  )
  const draws = inOrder
    .filter((e): e is EntryOf<'drawn-up'> => e.kind === 'drawn-up')
    .map((e) => ({ at: e.happened_at, data: e.data }))
  return {
    id: opened.batch,
    bench: opened.bench,
    settings,
    openedAt: opened.happened_at,
    openedBy: opened.who.name,
    ozoneOnAt: times('ozone-on'),
    ozoneOffAt: times('ozone-off'),
    flowOffAt: times('flow-off'),
    draws,
    handReadings: inOrder
      .filter((e): e is EntryOf<'reading-by-hand'> => e.kind === 'reading-by-hand')
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

/** What the gas is doing, from the entries alone, and since when. */
export const gasState = (batch: Batch): { kind: GasState; since: string } => {
  if (batch.discardedAt) return { kind: 'discarded', since: batch.discardedAt }
  const moments: { kind: GasState; since: string }[] = [
    ...batch.ozoneOnAt.map((since) => ({ kind: 'bubbling' as const, since })),
    ...batch.ozoneOffAt.map((since) => ({ kind: 'purge' as const, since })),
    ...batch.flowOffAt.map((since) => ({ kind: 'standing' as const, since })),
  ]
  const order: Record<GasState, number> = { 'set-up': 0, bubbling: 1, purge: 2, standing: 3, discarded: 4 }
  const newest = moments
    .sort((a, b) => a.since.localeCompare(b.since) || order[a.kind] - order[b.kind])
    .at(-1)
  return newest ?? { kind: 'set-up', since: batch.openedAt }
}
