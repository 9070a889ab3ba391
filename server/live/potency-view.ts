import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { CalibrationInForce } from '../calibration/in-force.ts'
import { type Batch, gasState } from '../ledger/batch.ts'
import { isSpotMode, type SpotValue, spotValues } from '../spot/spot-mode.ts'
import type { LiveBench } from '../wire.ts'
import { UNSTATED_U_PERCENT } from './analysis-input.ts'
import type { ChannelMemory, Newest } from './bench-memory.ts'

type Potency = LiveBench['potency']

export interface PotencyParts {
  readonly batch: Batch | undefined
  readonly memory: ChannelMemory
  readonly estimate: LiveEstimate | undefined
  readonly calibration: CalibrationInForce | undefined
  /** Response time of the probe that the values are corrected for, s; null while unknown. */
  readonly probeTauS: number | null
  readonly fullScaleMgL: number | null
  readonly intervalS: number
  /** Is a dissolved-ozone meter wired to this bench at all? */
  readonly wired: boolean
  /** The server's steady clock and the wall clock. */
  readonly steadyMs: number
  readonly nowMs: number
}

/** A value older than this is no longer shown as live: three intervals, at least 3 s. */
export const staleAfterS = (intervalS: number): number => Math.max(3, 3 * intervalS)

/** Another reading is due after 5 min while bubbling and after 10 min otherwise; until then the last one stands. */
const nextReadingDueS = (batch: Batch): number => (gasState(batch).kind === 'bubbling' ? 300 : 600)

/** What the screen may say of the potency now. Only `live` is a present measurement; everything else says why not. */
export const potencyView = (parts: PotencyParts): Potency => {
  const { memory, calibration } = parts
  const common = {
    stale_after_s: staleAfterS(parts.intervalS),
    calibration: calibration ? { at: calibration.at, method: calibration.data.method } : null,
    full_scale_mg_l: parts.fullScaleMgL,
    lag_s: parts.probeTauS,
  }
  const shown = memory.newestGood ?? memory.newest
  if (parts.batch && isSpotMode(parts.batch) && parts.wired)
    return { ...common, ...(singleReading(parts) ?? { ...NOTHING, why: 'no spot reading taken yet' }) }
  if (!shown) {
    const single = singleReading(parts)
    return {
      ...common,
      ...(single ?? NOTHING),
      ...(parts.wired ? {} : { why: single?.why ?? 'no meter is wired to this bench: type readings in' }),
    }
  }
  const age = (parts.steadyMs - shown.receivedMs) / 1000
  const { state, why } = stateOf(parts, shown, age)
  return {
    ...common,
    ...notFor(shown.correcting.kind),
    ...band(parts.estimate, shown, state),
    state,
    why,
    at: new Date(shown.timeUs / 1000).toISOString(),
    age_s: Math.max(0, age),
  }
}

const notFor = (kind: Newest['correcting']['kind']): Pick<Potency, 'uncalibrated_why'> => {
  switch (kind) {
    case 'not-for-this-fluid':
      return { uncalibrated_why: 'the calibration on file is not for this fluid' }
    case 'not-for-this-temperature':
      return { uncalibrated_why: 'the calibration on file is not for this temperature of the fluid' }
    case 'calibrated':
    case 'none':
      return {}
    default:
      return kind satisfies never
  }
}

const NOTHING = {
  state: 'no-reading',
  value_mg_l: null,
  low_mg_l: null,
  high_mg_l: null,
  at: null,
  age_s: null,
  why: 'no reading yet',
} as const

const stateOf = (
  parts: PotencyParts,
  shown: Newest,
  age: number,
): { state: Potency['state']; why: string | null } => {
  const newest = parts.memory.newest ?? shown
  const newestAge = (parts.steadyMs - newest.receivedMs) / 1000
  const limit = staleAfterS(parts.intervalS)
  if (newestAge > limit) return { state: 'stale', why: 'the meter has stopped sending' }
  if (parts.batch?.probeOut.at(-1)?.to === null)
    return { state: 'probe-out', why: 'the probe is out of the fluid' }
  const isOld = age > limit || parts.memory.newestGood === undefined
  if (isOld && isBelowRange(newest))
    return {
      state: 'below-range',
      why: `the meter sends "less than ${newest.raw}": potency is below what it can tell`,
    }
  if (isOld) return { state: 'fault', why: FAULT_WORDS[newest.quality] ?? 'the meter reports a fault' }
  if (shown.quality === 'clipped')
    return { state: 'clipped', why: 'the meter is at the top of its range: the true value is at least this' }
  return { state: 'live', why: null }
}

/** A bound from below is kept as sent, without a value; a number that cannot be real has one. */
const isBelowRange = ({ quality, value, raw }: Newest): boolean =>
  quality === 'out-of-range' && value === null && raw !== null

const FAULT_WORDS: Readonly<Record<string, string>> = {
  fault: 'the meter sends no number',
  'out-of-range': 'the meter sends a number that cannot be real',
  'implausible-rate': 'the meter jumps faster than the fluid can change',
  settling: 'the reading is still settling',
  'stale-instrument': 'the meter repeats an old value',
}

/** The band belongs to a value that is measured now; an old or clipped value carries none. */
const band = (estimate: LiveEstimate | undefined, shown: Newest, state: Potency['state']) => {
  const potency = estimate?.potency
  if (state === 'live' && potency && potency.kind !== 'none')
    return { value_mg_l: potency.mgPerL, low_mg_l: Math.max(0, potency.ci95[0]), high_mg_l: potency.ci95[1] }
  return { value_mg_l: shown.value, low_mg_l: null, high_mg_l: null }
}

/** The newest value typed in, or taken with the meter once it had settled: never live, however new. */
const singleReading = ({ batch, nowMs }: PotencyParts) => {
  const last = batch && spotValues(batch).at(-1)
  if (!batch || !last) return undefined
  const age_s = Math.max(0, (nowMs - Date.parse(last.at)) / 1000)
  const { calibration } = last
  const common = {
    value_mg_l: last.valueMgL,
    at: last.at,
    age_s,
    stale_after_s: nextReadingDueS(batch),
    lag_s: null,
    taken: last.by,
    ...(last.by === 'meter'
      ? { calibration: calibration ? { at: calibration.at, method: calibration.method } : null }
      : {}),
  }
  if (age_s > common.stale_after_s)
    return {
      ...common,
      state: 'stale' as const,
      low_mg_l: null,
      high_mg_l: null,
      why: `the last ${last.by === 'kit' ? 'value typed in' : 'spot reading'} is old: take another reading`,
    }
  const half = 1.96 * uOf(last)
  return {
    ...common,
    state: 'by-hand' as const,
    low_mg_l: Math.max(0, last.valueMgL - half),
    high_mg_l: last.valueMgL + half,
    why: last.by === 'kit' ? `typed in: ${last.method}` : `settled reading of ${last.method}`,
  }
}

/** Standard uncertainty, mg/L; the calibration of the meter included where there is one. */
const uOf = ({ valueMgL, uPercent, calibration, by }: SpotValue): number => {
  const size = by === 'kit' ? valueMgL : Math.max(1, Math.abs(valueMgL))
  return Math.hypot((size * (uPercent ?? UNSTATED_U_PERCENT)) / 100, calibration?.uMgL ?? 0)
}
