/** One CSV row, RFC 4180. A typed text that a spreadsheet would run as a formula is written as plain text. */
export const csvRow = (cells: readonly (string | number | null | undefined)[]): string =>
  `${cells.map(csvCell).join(',')}\r\n`

const csvCell = (cell: string | number | null | undefined): string => {
  if (cell === null || cell === undefined) return ''
  if (typeof cell === 'number') return String(cell)
  const harmless = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless
}
