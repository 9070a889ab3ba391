/** Prints rows of words under their headings, columns aligned. */
export const printTable = (head: readonly string[], rows: readonly (readonly string[])[]): void => {
  const widths = head.map((h, i) => Math.max(h.length, ...rows.map((r) => r[i]?.length ?? 0)))
  for (const line of [head, ...rows]) console.log(line.map((c, i) => c.padEnd(widths[i] ?? 0)).join('  '))
}

/** A part of a whole as a percentage; a dash when there is nothing to count. */
export const percent = (part: number, whole: number): string =>
  whole === 0 ? '-' : ((100 * part) / whole).toFixed(1)
