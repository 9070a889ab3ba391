import { readFileSync } from 'node:fs'

/** A fixture batch as minutes since its first row and mg/L. */
export const batchFile = (name: string): { times: Float64Array; values: Float64Array } => {
  const text = readFileSync(new URL(`../../../fixtures/batches/${name}.csv`, import.meta.url), 'utf8')
  const rows = text
    .split('\n')
    .filter((l) => l.startsWith('20'))
    .map((l) => l.split(','))
  const first = Date.parse(rows[0]?.[0] ?? '')
  return {
    times: Float64Array.from(rows, (r) => (Date.parse(r[0] ?? '') - first) / 60_000),
    values: Float64Array.from(rows, (r) => Number(r[1])),
  }
}
