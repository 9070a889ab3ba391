/**
 * A rate after the generalised least-squares step s in ln(rate), with the covariance over (linear parameters, ln rate).
 * The step is a straight line in the rate itself: a long one upward is k·(1 + s), as k·e^s would make a decay of minutes
 * out of a slope that noise had hidden, and the relative error shrinks as the rate grows. Downward k·e^s keeps it positive.
 */
export const rateAfterStep = (
  rate: number,
  step: number,
  covariance: Float64Array,
): { readonly rate: number; readonly covariance: Float64Array } => {
  if (!(step > 0)) return { rate: rate * Math.exp(step), covariance }
  const grown = 1 + step
  const p = Math.round(Math.sqrt(covariance.length))
  const isRate = (i: number) => i === p - 1
  return {
    rate: rate * grown,
    covariance: covariance.map(
      (v, i) => v / ((isRate(Math.floor(i / p)) ? grown : 1) * (isRate(i % p) ? grown : 1)),
    ),
  }
}
