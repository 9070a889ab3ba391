/** One line of the table: what was measured, beside what, and the budget it should keep. */
export interface Row {
  readonly what: string
  readonly ours: string
  readonly peer: string
  /** Ours over peer; below 1 is faster or smaller. Null where there is no sensible peer. */
  readonly ratio: number | null
  readonly budget: string
}

export const printRows = (rows: readonly Row[]): void => {
  const head = ['what', 'measured', 'peer in the same run', 'ratio', 'budget']
  const cells = rows.map((r) => [
    r.what,
    r.ours,
    r.peer,
    r.ratio === null ? '' : r.ratio.toPrecision(2),
    r.budget,
  ])
  const widths = head.map((h, i) => Math.max(h.length, ...cells.map((c) => c[i]?.length ?? 0)))
  for (const line of [head, widths.map((w) => '-'.repeat(w)), ...cells])
    console.log(line.map((c, i) => c.padEnd(widths[i] ?? 0)).join('  '))
}

export const quantile = (values: readonly number[], q: number): number => {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(q * sorted.length))] ?? Number.NaN
}

export const median = (values: readonly number[]): number => quantile(values, 0.5)

/** Median time of one call, ms, after warming up. */
export const timeOf = (work: () => void, rounds = 60): number => {
  for (let i = 0; i < 15; i++) work()
  return median(
    Array.from({ length: rounds }, () => {
      const start = performance.now()
      work()
      return performance.now() - start
    }),
  )
}
