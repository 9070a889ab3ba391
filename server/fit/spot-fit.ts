import type { CurveData, CurveFit, ModelAt } from './curve-fit.ts'
import { at } from './linear-algebra.ts'
import { fitSeparable, gramInverseOf } from './separable-fit.ts'
import { weightedModel } from './separable-model.ts'
import { startRate } from './start-rate.ts'

/**
 * Fit of a few spot readings whose standard uncertainties come from the method, not from their scatter: weighted least
 * squares, covariance (JᵀWJ)⁻¹ unscaled. As many readings as parameters are enough, since the noise is known.
 */
export const fitSpotReadings = (data: CurveData, sd: Float64Array, modelAt: ModelAt): CurveFit => {
  const n = data.times.length
  const roots = sd.map((s) => 1 / s)
  const model = weightedModel(modelAt(data.times), roots)
  const observed = data.values.map((v, i) => v * at(roots, i))
  if (n < model.columns.length + 1) return { kind: 'refused', why: 'too-few-readings' }
  const span = at(data.times, n - 1) - at(data.times, 0)
  const fit = fitSeparable(model, observed, {
    start: startRate(model, data.times, observed),
    lowest: 1e-4 / span,
    highest: (50 * n) / span,
    tolerance: 1e-9,
  })
  if (fit.kind === 'refused') return fit
  const covariance = gramInverseOf(fit.jacobian)
  if (covariance === undefined) return { kind: 'refused', why: 'no-convergence' }
  const residualSd = Math.sqrt(
    data.values.reduce((sum, _, i) => sum + (at(fit.residuals, i) * at(sd, i)) ** 2, 0) / n,
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
