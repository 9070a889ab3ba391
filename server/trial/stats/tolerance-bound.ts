import jStatPackage from 'jstat'
import { noncentralTQuantile } from './noncentral-t.ts'
import { logsOf, sampleOf } from './sample.ts'

const { jStat } = jStatPackage

/** Part of all batches that is covered, and how sure that is; both between 0 and 1. */
export interface Demand {
  readonly coverage: number
  readonly confidence: number
}

/**
 * One-sided tolerance factor of a normal sample, k = t'_{γ; n−1}(z_p·√n)/√n with t' the noncentral t.
 * mean + k·s lies above the part p of all batches with confidence γ. n ≥ 2. NIST/SEMATECH e-Handbook 7.2.6.3; ISO 16269-6.
 */
export const toleranceFactor = (n: number, demand: Demand): number => {
  if (n < 2) throw new RangeError(`a tolerance factor needs at least 2 batches, got ${n}`)
  const key = `${n}/${demand.coverage}/${demand.confidence}`
  const known = KNOWN.get(key)
  if (known !== undefined) return known
  if (KNOWN.size > MOST_KNOWN) KNOWN.clear()
  const factor = factorOf(n, demand)
  KNOWN.set(key, factor)
  return factor
}

/** The same few are asked for again and again, and each takes thousands of steps. */
const KNOWN = new Map<string, number>()
const MOST_KNOWN = 1000

const factorOf = (n: number, { coverage, confidence }: Demand): number => {
  const delta = jStat.normal.inv(coverage, 0, 1) * Math.sqrt(n)
  return noncentralTQuantile(confidence, n - 1, delta) / Math.sqrt(n)
}

export interface ToleranceBound extends Demand {
  readonly side: 'upper' | 'lower'
  readonly value: number
  readonly k: number
  readonly n: number
  /** Of the logarithms: roughly the relative spread from batch to batch. */
  readonly sdLog: number
  readonly geometricMean: number
}

/**
 * One-sided tolerance bound of positive values on the log scale, exp(mean ± k·s) of the logarithms. The spread between
 * batches holds each batch's own measuring error too, so the bound errs on the safe side. Needs two values.
 */
export const logToleranceBound = (
  values: readonly number[],
  side: 'upper' | 'lower',
  demand: Demand,
): ToleranceBound => {
  const { n, mean, sd } = sampleOf(logsOf(values))
  const k = toleranceFactor(n, demand)
  const value = Math.exp(mean + (side === 'upper' ? k : -k) * sd)
  return { ...demand, side, value, k, n, sdLog: sd, geometricMean: Math.exp(mean) }
}
