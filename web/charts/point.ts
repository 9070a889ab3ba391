/** What the chart draws, in minutes from the curves' origin. Null breaks a line: a gap is never bridged. */
export interface XY {
  readonly x: number
  readonly y: number | null
}
