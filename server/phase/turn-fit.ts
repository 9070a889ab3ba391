import { at, inverseOf } from '../fit/linear-algebra.ts'
import { fitNoise } from '../fit/noise-fit.ts'
import { type NoiseShape, Whitener } from '../fit/noise-likelihood.ts'
import { scatterDegrees } from '../fit/scatter-degrees.ts'
import { tQuantiles } from '../fit/student-t.ts'
import type { TurnBins } from './turn-bins.ts'

/** A rise that turns into a fall, minutes and mg/L. */
export interface TurnCurve {
  readonly plateau: number
  /** Plateau minus the value at t = 0. */
  readonly toGo: number
  readonly riseRate: number
  readonly turn: number
  readonly fallRate: number
}

export interface FittedTurn {
  /** Minutes. */
  readonly turn: number
  /** Half of the 95 % interval, minutes. */
  readonly within: number
}

/** Noise to begin with; the residuals then tell their own. */
const USUAL_NOISE: NoiseShape = { correlationTime: 0.33, whiteShare: 0.3 }
/** Orders of decay above the first, as a standard deviation: 1 to 2 are reported, and first is the headline. */
const ORDER_SD = 0.5
const ROUNDS = 12
const NOISE_ROUNDS = 2
/** Minutes; a step smaller than this is none. */
const SETTLED = 0.01
/** A step moves the turn and the logarithms of the rates by at most this. */
const LONGEST_MIN = 3
const LONGEST_LOG = 0.7

/**
 * One curve over both sides: C = plateau − toGo·e^(−r t) until the turn x, then the value there times
 * (1 + m·κ(t − x))^(−1/m), m + 1 being the order of the decay, held near first by its prior. Generalised least squares
 * under correlated noise: slow noise shifts both sides of the turn alike, so that a fit of each alone loses half of what
 * the readings tell. Undefined when it does not settle.
 */
export const fitTurn = (bins: TurnBins, start: TurnCurve): FittedTurn | undefined => {
  let theta = Float64Array.of(
    start.plateau,
    start.toGo,
    Math.log(start.riseRate),
    start.turn,
    Math.log(start.fallRate),
    0,
  )
  let noise: NoiseShape = USUAL_NOISE
  let variance = 1
  for (let round = 0; round <= NOISE_ROUNDS; round++) {
    const settled = settle(bins, theta, noise, variance)
    if (settled === undefined) return undefined
    theta = settled.theta
    if (round < NOISE_ROUNDS) {
      const seen = fitNoise(whitenerOf(bins, theta))
      if (seen === undefined) return undefined
      noise = seen
      variance = seen.variance
      continue
    }
    const sharp = Math.sqrt(at(settled.covariance, TURN * P + TURN))
    const blunt = stepFrom(bins, theta, noise, variance, 2 * sharp)
    if (blunt === undefined) return undefined
    const se = Math.sqrt(at(blunt.covariance, TURN * P + TURN))
    const degrees = Math.max(2, scatterDegrees(bins.times, noise, P))
    return { turn: at(theta, TURN), within: se * tQuantiles(degrees).twoSided }
  }
  return undefined
}

const P = 6
const TURN = 3
const ORDER = 5

const settle = (bins: TurnBins, from: Float64Array<ArrayBuffer>, noise: NoiseShape, variance: number) => {
  let theta: Float64Array<ArrayBuffer> = from
  const last = at(bins.times, bins.times.length - 1)
  for (let round = 0; round < ROUNDS; round++) {
    const step = stepFrom(bins, theta, noise, variance)
    if (step === undefined) return undefined
    theta = theta.map((v, i) => v + limited(i, at(step.delta, i)))
    theta[ORDER] = Math.max(-0.3, Math.min(1.5, at(theta, ORDER)))
    const turn = at(theta, TURN)
    if (!(turn > at(bins.times, 0) && turn < last)) return undefined
    if (Math.abs(at(step.delta, TURN)) < SETTLED) return { theta, covariance: step.covariance }
  }
  return undefined
}

const limited = (i: number, delta: number): number => {
  const most = i < 2 ? Number.POSITIVE_INFINITY : i === TURN ? LONGEST_MIN : LONGEST_LOG
  return Math.max(-most, Math.min(most, delta))
}

/**
 * One Gauss-Newton step and the covariance there. `unsure`, minutes: the turn is sought over so much to each side. Slow
 * noise would betray a kink whose place is known to the second; nobody knows it, and an error worked out that way is a
 * fifth too small.
 */
const stepFrom = (bins: TurnBins, theta: Float64Array, noise: NoiseShape, variance: number, unsure = 0) => {
  const { sums } = whitenerOf(bins, theta, unsure).whiten(noise)
  const width = P + 1
  const gram = new Float64Array(P * P)
  const right = new Float64Array(P)
  for (let a = 0; a < P; a++) {
    right[a] = at(sums, (a + 1) * width)
    for (let b = 0; b < P; b++) gram[a * P + b] = at(sums, (a + 1) * width + b + 1)
  }
  // the prior of the order counts as one more reading, of variance ORDER_SD² in units of the noise
  const weight = variance / ORDER_SD ** 2
  gram[ORDER * P + ORDER] = at(gram, ORDER * P + ORDER) + weight
  right[ORDER] = at(right, ORDER) - weight * at(theta, ORDER)
  const inverse = inverseOf(gram, P)
  if (inverse === undefined) return undefined
  const delta = right.map((_, i) => right.reduce((sum, r, j) => sum + at(inverse, i * P + j) * r, 0))
  return { delta, covariance: inverse.map((v) => v * variance) }
}

const whitenerOf = (bins: TurnBins, theta: Float64Array, unsure = 0): Whitener =>
  new Whitener({ times: bins.times, counts: bins.counts, columns: rowsOf(bins, theta, unsure) })

/** Residuals, then the derivatives by plateau, toGo, ln r, turn, ln κ and m. */
const rowsOf = ({ times, values }: TurnBins, theta: Float64Array, unsure: number): Float64Array[] => {
  const [plateau, toGo, logRise, turn, logFall, m] = theta as unknown as [
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  const [rise, fall] = [Math.exp(logRise), Math.exp(logFall)]
  const rows = Array.from({ length: P + 1 }, () => new Float64Array(times.length))
  const put = (i: number, row: readonly number[]) => {
    for (let c = 0; c <= P; c++) (rows[c] as Float64Array)[i] = row[c] as number
  }
  for (let i = 0; i < times.length; i++) {
    const t = at(times, i)
    const until = Math.min(t, turn)
    const left = Math.exp(-rise * until)
    const level = plateau - toGo * left
    const byRise = toGo * rise * until * left
    const past = partPast(t - turn, unsure)
    if (t < turn) {
      put(i, [at(values, i) - level, 1, -left, byRise, past * level * fall, 0, 0])
      continue
    }
    const gone = fall * (t - turn)
    const slowed = 1 + m * gone
    const log = Math.abs(m) < 1e-4 ? -gone + (m * gone * gone) / 2 : -Math.log(slowed) / m
    const stands = Math.exp(log)
    const byOrder =
      Math.abs(m) < 1e-4 ? (gone * gone) / 2 - (2 * m * gone ** 3) / 3 : -(log + gone / slowed) / m
    const value = level * stands
    put(i, [
      at(values, i) - value,
      stands,
      -left * stands,
      byRise * stands,
      past * (toGo * rise * left * stands + (value * fall) / slowed),
      (-value * gone) / slowed,
      value * byOrder,
    ])
  }
  return rows
}

/** How far a time is past a turn that may lie `unsure` to each side, 0 to 1. */
const partPast = (since: number, unsure: number): number =>
  unsure === 0 ? Number(since >= 0) : Math.max(0, Math.min(1, (since + unsure) / (2 * unsure)))
