import { at, choleskyInPlace, choleskySolveInPlace, inverseOf } from './linear-algebra.ts'
import type { SeparableModel } from './separable-model.ts'

export type SeparableFit =
  | {
      readonly kind: 'fitted'
      readonly rate: number
      /** Linear parameters in the order of the model's columns. */
      readonly linear: Float64Array
      /**
       * Derivatives of the curve by each linear parameter and, last, by ln(rate). Columns are the model's own buffers:
       * they hold until its next `setRate`.
       */
      readonly jacobian: readonly Float64Array[]
      readonly residuals: Float64Array
      readonly rss: number
      readonly n: number
      readonly degreesOfFreedom: number
      readonly iterations: number
      readonly stopped: 'small-step' | 'no-further-gain'
    }
  | { readonly kind: 'refused'; readonly why: 'too-few-readings' | 'no-convergence' | 'no-change' }

export interface RateSearch {
  readonly start: number
  readonly lowest: number
  readonly highest: number
  /** Relative change of the rate at which the search stops. */
  readonly tolerance: number
}

const MAX_ITERATIONS = 100

/**
 * Variable projection: at each rate the linear parameters are solved in closed form, so the search has one dimension.
 * Steps are Gauss-Newton in ln(rate) on the residual left by the linear solution (Kaufman, BIT 15, 49 (1975)), halved
 * while they do not help. A rate that runs to an edge of its range gives no numbers.
 */
export const fitSeparable = (
  model: SeparableModel,
  observed: Float64Array,
  search: RateSearch,
): SeparableFit => {
  const n = observed.length
  const work = new Workspace(model, observed)
  if (n < work.p) return { kind: 'refused', why: 'too-few-readings' }
  let logRate = Math.log(search.start)
  if (!work.evaluate(Math.exp(logRate))) return { kind: 'refused', why: 'no-change' }
  for (let iteration = 1; iteration <= MAX_ITERATIONS; iteration++) {
    const step = work.logRateStep()
    if (step === undefined) return { kind: 'refused', why: 'no-change' }
    if (Math.abs(step) < search.tolerance) return conclude(work, Math.exp(logRate), iteration, 'small-step')
    const moved = work.tryStep(logRate, Math.max(-1.5, Math.min(1.5, step)), search.tolerance)
    if (moved === undefined) return conclude(work, Math.exp(logRate), iteration, 'no-further-gain')
    logRate = moved
    const rate = Math.exp(logRate)
    if (rate < search.lowest || rate > search.highest) return { kind: 'refused', why: 'no-convergence' }
  }
  return { kind: 'refused', why: 'no-convergence' }
}

const conclude = (
  work: Workspace,
  rate: number,
  iterations: number,
  stopped: 'small-step' | 'no-further-gain',
): SeparableFit => {
  work.evaluate(rate)
  return {
    kind: 'fitted',
    rate,
    linear: work.linear.slice(),
    jacobian: work.jacobian(),
    residuals: work.residuals,
    rss: work.rss,
    n: work.residuals.length,
    degreesOfFreedom: work.residuals.length - work.p,
    iterations,
    stopped,
  }
}

/** (JᵀJ)⁻¹ for the Jacobian of a fit; times the residual variance it is the covariance under white noise. */
export const gramInverseOf = (jacobian: readonly Float64Array[]): Float64Array | undefined => {
  const p = jacobian.length
  const gram = new Float64Array(p * p)
  for (let a = 0; a < p; a++)
    for (let b = 0; b <= a; b++) {
      gram[a * p + b] = dot(jacobian[a] as Float64Array, jacobian[b] as Float64Array)
      gram[b * p + a] = at(gram, a * p + b)
    }
  return inverseOf(gram, p)
}

class Workspace {
  readonly p: number
  readonly linear: Float64Array
  readonly residuals: Float64Array
  rss = Number.POSITIVE_INFINITY
  /** Rate the columns and residuals stand at. */
  private evaluated = Number.NaN
  private readonly model: SeparableModel
  private readonly observed: Float64Array
  private readonly count: number
  private readonly gram: Float64Array
  private readonly slope: Float64Array

  constructor(model: SeparableModel, observed: Float64Array) {
    this.model = model
    this.observed = observed
    this.count = model.columns.length
    this.p = this.count + 1
    this.linear = new Float64Array(this.count)
    this.residuals = new Float64Array(observed.length)
    this.slope = new Float64Array(observed.length)
    this.gram = new Float64Array(this.count * this.count)
  }

  /** Solves the linear parameters at a rate; false when the columns are not independent. */
  evaluate(rate: number): boolean {
    if (rate === this.evaluated) return true
    const { model, count, gram } = this
    this.evaluated = Number.NaN
    model.setRate(rate)
    for (let a = 0; a < count; a++) {
      const column = model.columns[a] as Float64Array
      for (let b = 0; b <= a; b++) gram[a * count + b] = dot(column, model.columns[b] as Float64Array)
      this.linear[a] = dot(column, this.observed)
    }
    if (!choleskyInPlace(gram, count)) return false
    choleskySolveInPlace(gram, count, this.linear)
    this.refresh()
    if (!Number.isFinite(this.rss)) return false
    this.evaluated = rate
    return true
  }

  /** Gauss-Newton step for ln(rate): the slope column made orthogonal to the linear columns. */
  logRateStep(): number | undefined {
    const { model, count } = this
    this.fillSlope()
    const along = new Float64Array(count)
    for (let a = 0; a < count; a++) along[a] = dot(model.columns[a] as Float64Array, this.slope)
    const raw = along.slice()
    choleskySolveInPlace(this.gram, count, along)
    let size = dot(this.slope, this.slope)
    let gain = dot(this.slope, this.residuals)
    const full = size
    for (let a = 0; a < count; a++) {
      size -= at(raw, a) * at(along, a)
      gain -= at(along, a) * dot(model.columns[a] as Float64Array, this.residuals)
    }
    return size > 1e-15 * full ? gain / size : undefined
  }

  /** Moves by `step` in ln(rate), halving until the sum of squares does not grow; undefined when it always grows. */
  tryStep(from: number, step: number, tolerance: number): number | undefined {
    const before = this.rss
    for (let size = step; Math.abs(size) > tolerance / 4; size /= 2) {
      if (this.evaluate(Math.exp(from + size)) && this.rss <= before * (1 + 1e-14)) return from + size
    }
    return undefined
  }

  jacobian(): Float64Array[] {
    this.fillSlope()
    return [...this.model.columns, this.slope]
  }

  private refresh(): void {
    const { residuals, observed, model } = this
    residuals.set(observed)
    for (let a = 0; a < this.count; a++)
      subtract(residuals, at(this.linear, a), model.columns[a] as Float64Array)
    this.rss = dot(residuals, residuals)
  }

  private fillSlope(): void {
    this.slope.fill(0)
    for (let a = 0; a < this.count; a++) {
      const slope = this.model.slopes[a]
      if (slope !== undefined) subtract(this.slope, -at(this.linear, a), slope)
    }
  }
}

export const dot = (a: Float64Array, b: Float64Array): number => {
  const n = a.length
  let even = 0
  let odd = 0
  let i = 0
  for (; i + 1 < n; i += 2) {
    even += (a[i] as number) * (b[i] as number)
    odd += (a[i + 1] as number) * (b[i + 1] as number)
  }
  if (i < n) even += (a[i] as number) * (b[i] as number)
  return even + odd
}

const subtract = (from: Float64Array, factor: number, column: Float64Array): void => {
  for (let i = 0; i < from.length; i++) from[i] = (from[i] as number) - factor * (column[i] as number)
}
