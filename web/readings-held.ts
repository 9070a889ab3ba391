import type { EnvelopePoint, LiveReadings } from '../server/wire.ts'

/** A reading the screen holds for its chart. */
export interface Reading {
  readonly time_us: number
  readonly mg_l: number | null
  readonly counts: boolean
}

/** Four hours at 1 Hz. Older ones are asked for again as roll-ups. */
export const MAX_READINGS = 14_400

/** In time order; a repeat of the same time changes nothing. */
export const appendReadings = (
  held: readonly Reading[],
  news: LiveReadings['readings'],
): readonly Reading[] => {
  const fresh = news.map(([time_us, mg_l, quality]) => ({
    time_us,
    mg_l,
    counts: quality === 'good' || quality === 'hand-entered',
  }))
  const last = held.at(-1)?.time_us ?? Number.NEGATIVE_INFINITY
  const inOrder = fresh.every((r, i) => r.time_us > (fresh[i - 1]?.time_us ?? last))
  const all = inOrder ? [...held, ...fresh] : merged(held, fresh)
  return all.length > MAX_READINGS ? all.slice(all.length - MAX_READINGS) : all
}

const merged = (held: readonly Reading[], fresh: readonly Reading[]): readonly Reading[] => {
  const byTime = new Map(fresh.map((r) => [r.time_us, r]))
  for (const r of held) byTime.set(r.time_us, r)
  return [...byTime.values()].sort((a, b) => a.time_us - b.time_us)
}

/** Whether readings that came after a moment are among those no longer held. */
export const hasLetGoOf = (held: readonly Reading[], since_ms: number): boolean =>
  held.length >= MAX_READINGS && (held[0]?.time_us ?? 0) > since_ms * 1000

/** Columns of a plot as readings: least and greatest, so that nothing the store knows is smoothed away. */
export const pastReadings = (points: readonly EnvelopePoint[]): readonly Reading[] =>
  points.flatMap(({ time_us, min, max, count, not_good }) => {
    const counts = not_good === 0 || count > not_good
    return min === max || max === null
      ? [{ time_us, mg_l: min, counts }]
      : [
          { time_us, mg_l: min, counts },
          { time_us: time_us + 1, mg_l: max, counts },
        ]
  })
