import type { KnownNoise } from '../fit/correlated-fit.ts'
import { at } from '../fit/linear-algebra.ts'
import { type SteadyWindow, steadyWindow } from './steady-window.ts'

/** What a probe showed since it was dipped: calibrated where a calibration is on file. */
export interface Dipped {
  /** s since the dip, strictly increasing. */
  readonly timesS: Float64Array
  /** mg/L; NaN where the meter gave no usable number. */
  readonly values: Float64Array
  /** 1 where the meter was at an end of its range. */
  readonly clipped: Uint8Array
  /** s since the dip. */
  readonly nowS: number
  /** Between two readings of this meter, s. */
  readonly intervalS: number
  /** Last digit the meter sends, mg/L. */
  readonly resolution: number
  /** Response time (63.2 %) with its standard uncertainty, s; absent: not known. */
  readonly lag?: { readonly tauS: number; readonly uS: number }
  readonly noise?: KnownNoise
  /** How many times the time-out is waited for; 1 unless somebody asked to keep waiting. */
  readonly patience?: number
}

/** One settled value, with its standard uncertainties (1 s) part by part, mg/L. The meter's calibration is not among them. */
export interface Settled {
  readonly kind: 'settled'
  readonly value: number
  readonly u: number
  readonly uScatter: number
  readonly uResolution: number
  /** What may be left of the way from where the probe was before. */
  readonly uSettling: number
  /** What the probe's response, or not knowing it, leaves while the value moves. */
  readonly uResponse: number
  /** The moment the value belongs to, s since the dip: the probe shows the fluid of its response time ago. */
  readonly atS: number
  readonly window: SteadyWindow
  readonly fromS: number
  readonly toS: number
}

export type SpotWhy = 'silent' | 'faulty' | 'clipped' | 'drifting'

export type SpotState =
  | Settled
  /** `leftS`: at least so long, s. `changing`: long enough in, and waiting for the value to hold still. */
  | { readonly kind: 'settling'; readonly leftS: number; readonly changing: boolean }
  | {
      readonly kind: 'refused'
      readonly why: SpotWhy
      /** Of `drifting`: change over one window in percent of the value, negative while falling. */
      readonly percent?: number
      readonly windowS?: number
    }

/** e⁻⁵ = 0.7 % of the way is left after five response times. */
const SETTLED_TAUS = 5
/** Where the response time is not known: longer than most probes take. Engineering judgement. */
const LEAST_UNKNOWN_S = 45
const WINDOW_S = 30
const WINDOW_READINGS = 10
/**
 * Change over one window, as part of the value, up to which it is taken for settled: the fluid's own, which 8 % in 30 s is at
 * a half-life of 4 min, and further on the way that the probe came, which may be the probe still.
 */
const MOST_CHANGE = { own: 0.08, onTheWay: 0.02 } as const
const LEAST_CHANGE_MG_L = 0.1
/** Response times of probes whose own is not known reach from nothing to this, s. As in `unknown-lag.ts`: common practice, no source. */
const SLOWEST_S = 90
const TIME_OUT_S = 180
/** Of the readings in the window, at least this part must be usable. */
const LEAST_USABLE = 0.75
/** Part of the value that readings must have moved by before they show a dip of their own. */
const DIPPED_PART = 0.25

/** Length of the window a value is read from, s. */
export const windowS = (intervalS: number): number => Math.max(WINDOW_S, WINDOW_READINGS * intervalS)

/** Silence of a meter, s: five intervals, at least 5 s. */
const silentAfterS = (intervalS: number): number => Math.max(5, 5 * intervalS)

/**
 * Has the value of a dipped probe settled, and what is it? Pure. Waits for five response times, or 45 s where the response
 * time is not known, and one window; then the change over the newest window must be small against the value, or not to be
 * told from its scatter. For a first-order probe C = shown + τ·d(shown)/dt, so a window that moves at `slope` belongs to the
 * fluid of τ before; with τ unknown the value may be off by slope·τ, and that is counted.
 */
export const spotState = (dipped: Dipped): SpotState => {
  const { timesS, nowS, intervalS } = dipped
  const newest = timesS.at(-1)
  if (nowS - (newest ?? 0) > silentAfterS(intervalS)) return { kind: 'refused', why: 'silent' }
  const length = windowS(intervalS)
  const leftS = leastWaitS(dipped) + length - nowS
  if (leftS > 0) return { kind: 'settling', leftS, changing: false }
  const read = readWindow(dipped, length)
  const dipS = read === undefined ? 0 : dipSeen(dipped, read)
  if (leftS + dipS > 0) return { kind: 'settling', leftS: leftS + dipS, changing: false }
  if (isClipped(dipped, length)) return { kind: 'refused', why: 'clipped' }
  if (read === undefined) return orWait(dipped, { kind: 'refused', why: 'faulty' })
  const change = read.slope * length
  if (Math.abs(change) > mostChange(dipped, read, length)) {
    const percent = (100 * change) / Math.max(Math.abs(read.value), LEAST_CHANGE_MG_L)
    return orWait(dipped, { kind: 'refused', why: 'drifting', percent, windowS: length })
  }
  return settled(dipped, read, dipS, length)
}

const leastWaitS = ({ lag }: Dipped): number =>
  lag === undefined ? LEAST_UNKNOWN_S : SETTLED_TAUS * lag.tauS

/** s from the dip until a value that will not hold still is given up. */
const timeOutS = (dipped: Dipped): number =>
  (dipped.patience ?? 1) * Math.max(TIME_OUT_S, leastWaitS(dipped) + 3 * windowS(dipped.intervalS))

const orWait = (dipped: Dipped, refusal: Extract<SpotState, { kind: 'refused' }>): SpotState => {
  const leftS = timeOutS(dipped) - dipped.nowS
  return leftS > 0 ? { kind: 'settling', leftS, changing: true } : refusal
}

const firstOf = ({ timesS, nowS }: Dipped, length: number): number => {
  const first = timesS.findIndex((t) => t > nowS - length)
  return first < 0 ? timesS.length : first
}

const isClipped = (dipped: Dipped, length: number): boolean =>
  dipped.clipped.subarray(firstOf(dipped, length)).includes(1)

/** Undefined where too few readings of the window can be used. */
const readWindow = (dipped: Dipped, length: number): SteadyWindow | undefined => {
  const first = firstOf(dipped, length)
  const all = dipped.values.subarray(first)
  const usable = (_: number, i: number) => !Number.isNaN(at(all, i))
  const values = all.filter(usable)
  if (values.length < LEAST_USABLE * all.length) return undefined
  return steadyWindow(dipped.timesS.subarray(first).filter(usable), values, dipped.resolution, dipped.noise)
}

/** Where scatter alone may look like a change, twice that is allowed. */
const mostChange = (dipped: Dipped, window: SteadyWindow, length: number): number => {
  const part = isOnTheWay(dipped, window) ? MOST_CHANGE.onTheWay : MOST_CHANGE.own
  const most = Math.max(part * Math.abs(window.value), LEAST_CHANGE_MG_L, 2 * dipped.resolution)
  return Math.max(most, Math.min(2 * most, 2 * window.uSlope * length))
}

/** Still moving the way it came from where the probe was before: the fluid would hardly go that way by itself. */
const isOnTheWay = ({ values }: Dipped, { value, slope }: SteadyWindow): boolean => {
  const before = values.find((v) => !Number.isNaN(v)) ?? value
  return Math.abs(value - before) > DIPPED_PART * Math.abs(value) && (value - before) * slope > 0
}

/**
 * Whoever taps first and dips then has dipped later than the tap: where the readings came from far off, one response time
 * before they were last 37 % of the way away. 0 where the readings show no such step, or the response time is not known.
 */
const dipSeen = ({ timesS, values, lag }: Dipped, { value }: SteadyWindow): number => {
  const farthest = values.reduce((most, v) => Math.max(most, Math.abs(v - value) || 0), 0)
  if (lag === undefined || farthest < Math.max(DIPPED_PART * Math.abs(value), LEAST_CHANGE_MG_L)) return 0
  const far = timesS.findLast((_, i) => Math.abs(at(values, i) - value) > Math.exp(-1) * farthest) ?? 0
  return Math.max(0, far - lag.tauS)
}

const settled = (dipped: Dipped, window: SteadyWindow, dipS: number, length: number): Settled => {
  const { lag, resolution, nowS } = dipped
  const { value, slope, uSlope, uScatter, midS } = window
  const uResolution = resolution / Math.sqrt(12)
  const uSettling = lag === undefined ? 0 : leftOver(dipped, window, dipS, lag.tauS + lag.uS)
  // a rectangle from nothing to the slowest probe, about its end at nothing
  const uResponse =
    lag === undefined ? (Math.hypot(slope, uSlope) * SLOWEST_S) / Math.sqrt(3) : Math.abs(slope) * lag.uS
  return {
    kind: 'settled',
    value,
    u: Math.hypot(uScatter, uResolution, uSettling, uResponse),
    uScatter,
    uResolution,
    uSettling,
    uResponse,
    atS: Math.max(0, midS - (lag?.tauS ?? 0)),
    window,
    fromS: nowS - length,
    toS: nowS,
  }
}

/** Rest of a first-order step at the middle of the window, in whole: it errs the same way every time. */
const leftOver = (
  { timesS, values }: Dipped,
  { value, midS }: SteadyWindow,
  dipS: number,
  tauS: number,
): number => {
  const before = values.find((v, i) => at(timesS, i) >= dipS && !Number.isNaN(v)) ?? value
  return Math.abs(value - before) * Math.exp(-(midS - dipS) / Math.max(tauS, 0.1))
}
