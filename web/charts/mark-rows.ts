/** An upright line of the chart and the word beside it, in pixels. */
export interface MarkPlace {
  readonly x: number
  readonly width: number
}

const GAP_PX = 10

/**
 * The row over the drawing, counted from below, in which each word stands, to the right of its line. Placed from
 * the right: a line then only rises past words that begin further right, so that no line runs through a word.
 */
export const markRows = (marks: readonly MarkPlace[]): readonly number[] => {
  const rows = marks.map(() => 0)
  const taken: { row: number; from: number; to: number }[] = []
  const fromRight = marks.map((_, i) => i).sort((a, b) => (marks[b]?.x ?? 0) - (marks[a]?.x ?? 0) || b - a)
  for (const i of fromRight) {
    const { x, width } = marks[i] ?? { x: 0, width: 0 }
    const to = x + width + GAP_PX
    const over = taken.filter((t) => t.from < to && t.to > x)
    const row = Math.max(-1, ...over.map((t) => t.row)) + 1
    rows[i] = row
    taken.push({ row, from: x, to })
  }
  return rows
}
