import type { EntryData } from '../ledger/entry.ts'
import { type Measured, sumU } from './measured.ts'

export type Point = NonNullable<EntryData<'calibration'>['points']>[number]

export interface Line {
  readonly kind: 'line'
  /** Shown value, zero taken off, per reference value. */
  readonly slope: Measured
  /** What is shown where there is nothing. */
  readonly zero: Measured
}

export type LineFromPoints = Line | { readonly kind: 'refused'; readonly why: LineRefusal }

export type LineRefusal =
  | 'no-point'
  | 'reference-is-zero'
  | 'same-reference'
  | 'zero-unknown'
  | 'slope-not-positive'

interface Parts {
  readonly points: readonly Point[]
  /** Part of every reference value that errs the same way (f, ε, standard): standard uncertainty, %. */
  readonly sharedPercent: number
  /** For a single point: the zero as it stands. */
  readonly zeroKnown?: Measured
}

/**
 * Slope and zero of shown = zero + slope·reference, so that true = (shown − zero)/slope.
 * One point: slope from a known zero, or the zero alone where the reference is 0. Two: the line through them. More:
 * weighted least squares with each point's own variance u_shown² + (slope·u_reference)² (effective variance: Orear, Am.
 * J. Phys. 50, 912 (1982)). The shared part of the reference goes into the slope whole. Slope and zero are given
 * as if independent; they are anti-correlated, so between the points that is on the wide side.
 */
export const lineFromPoints = ({ points, sharedPercent, zeroKnown }: Parts): LineFromPoints => {
  const [first] = points
  if (first === undefined) return refused('no-point')
  const line = points.length === 1 ? onePoint(first, zeroKnown) : manyPoints(points)
  if (line.kind === 'refused') return line
  const { slope, zero } = line
  return {
    ...line,
    slope: { value: slope.value, u: Math.hypot(slope.u, (slope.value * sharedPercent) / 100) },
    zero,
  }
}

const refused = (why: LineRefusal) => ({ kind: 'refused', why }) as const

const onePoint = (point: Point, zero: Measured | undefined): LineFromPoints => {
  if (point.reference === 0)
    return {
      kind: 'line',
      slope: { value: 1, u: 0 },
      zero: { value: point.shown, u: Math.hypot(point.u_shown, point.u_reference) },
    }
  if (zero === undefined) return refused('zero-unknown')
  const slope = (point.shown - zero.value) / point.reference
  if (!(slope > 0)) return refused('slope-not-positive')
  const u = sumU([1, point.u_shown], [1, zero.u], [slope, point.u_reference]) / Math.abs(point.reference)
  return { kind: 'line', slope: { value: slope, u }, zero }
}

const ROUNDS = 20

const manyPoints = (points: readonly Point[]): LineFromPoints => {
  if (new Set(points.map((p) => p.reference)).size < 2) return refused('same-reference')
  let slope = 1
  let fit = weighted(points, slope)
  for (let round = 0; round < ROUNDS; round++) {
    slope = fit.slope.value
    fit = weighted(points, slope)
  }
  return fit.slope.value > 0 ? fit : refused('slope-not-positive')
}

/** A point stated without any uncertainty counts as nearly exact, not infinitely so. */
const LEAST_U = 1e-9

const weighted = (points: readonly Point[], slope: number): Line => {
  const rows = points.map((p) => ({
    x: p.reference,
    y: p.shown,
    w: 1 / Math.max(LEAST_U, Math.hypot(p.u_shown, slope * p.u_reference)) ** 2,
  }))
  const total = rows.reduce((sum, r) => sum + r.w, 0)
  const meanX = rows.reduce((sum, r) => sum + r.w * r.x, 0) / total
  const meanY = rows.reduce((sum, r) => sum + r.w * r.y, 0) / total
  const sxx = rows.reduce((sum, r) => sum + r.w * (r.x - meanX) ** 2, 0)
  const value = rows.reduce((sum, r) => sum + r.w * (r.x - meanX) * (r.y - meanY), 0) / sxx
  return {
    kind: 'line',
    slope: { value, u: Math.sqrt(1 / sxx) },
    zero: { value: meanY - value * meanX, u: Math.sqrt(1 / total + meanX ** 2 / sxx) },
  }
}

/** Furthest a point lies from the line, as part of the span of the references, with the uncertainty of that. */
export const linearity = (
  points: readonly Point[],
  limitPercent: number,
):
  | { readonly word: 'within' | 'outside' | 'cannot-tell'; readonly furthestPercent: Measured }
  | undefined => {
  if (new Set(points.map((p) => p.reference)).size < 3) return undefined
  const line = manyPoints(points)
  if (line.kind === 'refused') return undefined
  const references = points.map((p) => p.reference)
  const span = (Math.max(...references) - Math.min(...references)) * line.slope.value
  const off = points.map((p) => ({
    value: (100 * Math.abs(p.shown - line.zero.value - line.slope.value * p.reference)) / span,
    u: (100 * Math.hypot(p.u_shown, line.slope.value * p.u_reference)) / span,
  }))
  const furthestPercent = off.reduce((a, b) => (b.value > a.value ? b : a))
  return { word: againstLimit(furthestPercent, limitPercent), furthestPercent }
}

const ONE_SIDED = 1.645

/**
 * Is a difference within a limit? Only said when the one-sided 95 % bound is on the same side: JCGM 106:2012, 8.3 (guarded
 * acceptance and rejection).
 */
export const againstLimit = (difference: Measured, limit: number): 'within' | 'outside' | 'cannot-tell' => {
  const size = Math.abs(difference.value)
  if (size + ONE_SIDED * difference.u <= limit) return 'within'
  return size - ONE_SIDED * difference.u > limit ? 'outside' : 'cannot-tell'
}
