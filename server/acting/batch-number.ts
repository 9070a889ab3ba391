import type { EntryOf } from '../ledger/entry.ts'

/** A number people can say: bench, date in the site's zone, and which batch of that day: `A-2026-03-14-2`. */
export const batchNumber = (
  bench: string,
  at: string,
  zone: string,
  opened: readonly EntryOf<'batch-opened'>[],
): string => {
  const day = new Intl.DateTimeFormat('en-CA', {
    timeZone: zone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).format(new Date(at))
  const prefix = `${bench}-${day}-`
  const taken = opened
    .filter((e) => e.data.number.startsWith(prefix))
    .map((e) => Number(e.data.number.slice(prefix.length)))
  return `${prefix}${Math.max(0, ...taken.filter(Number.isInteger)) + 1}`
}
