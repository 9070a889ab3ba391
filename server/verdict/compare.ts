/** What was expected of a quantity. */
export interface ExpectedBand {
  readonly low: number
  readonly central: number
  readonly high: number
}

/** What was found: a value with its interval, or only a bound. */
export type Found =
  | { readonly value: number; readonly ci95: readonly [number, number] }
  | { readonly at_least: number }
  | { readonly at_most: number }

export type Comparison =
  | { readonly outcome: 'agrees'; readonly found: number }
  | {
      readonly outcome: 'differs'
      readonly found: number
      readonly direction: 'above' | 'below'
      /** Distance from the nearest edge of the band, in percent of that edge. */
      readonly byPercent: number
    }
  | { readonly outcome: 'cannot-tell'; readonly why: 'interval-too-wide' | 'only-a-bound' }

/** An interval wider than this many times the band says nothing by overlapping it. */
const TOO_WIDE = 3

/**
 * Agrees when the 95 % interval touches the band, differs when it lies wholly outside, cannot tell when the interval is
 * far wider than the band or only a bound is known that does not settle it.
 */
export const compare = (found: Found, expected: ExpectedBand): Comparison => {
  if ('at_least' in found)
    return found.at_least > expected.high
      ? {
          outcome: 'differs',
          found: found.at_least,
          direction: 'above',
          byPercent: over(found.at_least, expected.high),
        }
      : { outcome: 'cannot-tell', why: 'only-a-bound' }
  if ('at_most' in found)
    return found.at_most < expected.low
      ? {
          outcome: 'differs',
          found: found.at_most,
          direction: 'below',
          byPercent: over(found.at_most, expected.low),
        }
      : { outcome: 'cannot-tell', why: 'only-a-bound' }
  const { value, ci95 } = found
  if (ci95[0] > expected.high)
    return { outcome: 'differs', found: value, direction: 'above', byPercent: over(value, expected.high) }
  if (ci95[1] < expected.low)
    return { outcome: 'differs', found: value, direction: 'below', byPercent: over(value, expected.low) }
  return ci95[1] - ci95[0] > TOO_WIDE * (expected.high - expected.low)
    ? { outcome: 'cannot-tell', why: 'interval-too-wide' }
    : { outcome: 'agrees', found: value }
}

const over = (value: number, edge: number): number => (100 * Math.abs(value - edge)) / edge
