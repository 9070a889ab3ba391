import type { CurveData, CurveFit, ModelAt } from './curve.ts'
import { at } from './linear-algebra.ts'
import { fitSeparable, gramInverseOf, type SeparableFit } from './separable-fit.ts'
import { weightedModel } from './separable-model.ts'
import { startRate } from './start-rate.ts'

/** Readings of so many percent are weighted by the curve, not by themselves: a low one is no surer for being low. */
const ROUNDS = 4
/** mg/L: below it an uncertainty in percent stops shrinking. */
const LEAST_MG_L = 1

/**
 * Fit of a few spot readings whose standard uncertainties come from the method, not from their scatter: weighted least
 * squares, covariance (JᵀWJ)⁻¹ unscaled. As many readings as parameters are enough, since the noise is known.
 */
export const fitSpotReadings = (data: CurveData, stated: Float64Array, modelAt: ModelAt): CurveFit => {
  const n = data.times.length
  const span = at(data.times, n - 1) - at(data.times, 0)
  let sd = stated
  let fit: SeparableFit | undefined
  for (let round = 0; round < ROUNDS; round++) {
    const roots = sd.map((s) => 1 / s)
    const model = weightedModel(modelAt(data.times), roots)
    if (n < model.columns.length + 1) return { kind: 'refused', why: 'too-few-readings' }
    const observed = data.values.map((v, i) => v * at(roots, i))
    fit = fitSeparable(model, observed, {
      start: fit?.kind === 'fitted' ? fit.rate : startRate(model, data.times, observed),
      lowest: 1e-4 / span,
      highest: (50 * n) / span,
      tolerance: 1e-9,
    })
    if (fit.kind === 'refused') return fit
    const { residuals } = fit
    const fitted = data.values.map((v, i) => v - at(residuals, i) * at(sd, i))
    if (round < ROUNDS - 1) sd = fitted.map((f, i) => (at(stated, i) * size(f)) / size(at(data.values, i)))
  }
  if (fit === undefined || fit.kind === 'refused') return { kind: 'refused', why: 'no-convergence' }
  const { residuals } = fit
  const covariance = gramInverseOf(fit.jacobian)
  if (covariance === undefined) return { kind: 'refused', why: 'no-convergence' }
  const residualSd = Math.sqrt(
    data.values.reduce((sum, _, i) => sum + (at(residuals, i) * at(sd, i)) ** 2, 0) / n,
  )
  const { rate, linear, iterations, stopped } = fit
  return {
    kind: 'fitted',
    rate,
    linear,
    covariance,
    n,
    residualSd,
    outliers: new Uint8Array(n),
    whiteNoise: { rate, linear, covariance, residualSd, iterations, stopped },
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    effectiveReadings: n,
    noise: { correlationTime: 0, whiteShare: 1 },
    fromHistory: false,
    readingSd: sd.reduce((sum, s) => sum + s, 0) / n,
  }
}

const size = (value: number): number => Math.max(LEAST_MG_L, Math.abs(value))
