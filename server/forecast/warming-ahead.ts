import { celsius } from '../../ingest/units.ts'
import { at } from '../fit/linear-algebra.ts'
import { arrheniusFactor } from '../model/arrhenius.ts'
import { type TemperatureCourse, temperatureAt } from '../model/warped-time.ts'

/** Temperature from now on · T(t) = room + (now − room)·e^(−w t), t in minutes, w in 1/min. */
export interface TemperatureAhead {
  readonly nowC: number
  readonly roomC: number
  readonly perMinute: number
}

/** Expected course, and the fastest warming that cannot be ruled out, for the early bound. */
export interface WarmingAhead {
  readonly expected: TemperatureAhead
  readonly fastest: TemperatureAhead
}

/** Taken for the room when nobody measured it, °C; the early bound takes the warm one. Engineering judgement. */
const ROOM_C = 21
const WARM_ROOM_C = 25
/** A small flask in still air warms with a time constant of 20 min at the quickest. Engineering judgement. */
const QUICKEST_PER_MIN = 1 / 20
/** A measured trend is believed up to this: hands, a warm plate or a jet of gas. Engineering judgement. */
const QUICKEST_MEASURED_PER_MIN = 1 / 10
/** The trend is read over this long. */
const TREND_S = 900

/** How much quicker than its trend a fluid may yet warm: lid off, set down on a warm plate. Engineering judgement. */
const MAY_QUICKEN = 1.15

/** From the measured trend toward room temperature; with no room measured, to each room the rate that gives the trend. */
export const warmingAhead = (
  course: TemperatureCourse,
  nowS: number,
  roomC: number | undefined,
): WarmingAhead => {
  const nowC = temperatureAt(course, nowS)
  const room = roomC ?? ROOM_C
  const trend = approachPerMin(course, nowS, room)
  const isThere = Math.abs(room - nowC) < 1
  const perMinute = limited(trend?.perMinute ?? (isThere ? 0 : QUICKEST_PER_MIN / 2))
  const warmest = Math.max(nowC, roomC ?? WARM_ROOM_C)
  const toWarmest = warmest === room ? trend : approachPerMin(course, nowS, warmest)
  const upTo =
    toWarmest === undefined
      ? QUICKEST_PER_MIN
      : limited(MAY_QUICKEN * Math.max(0, toWarmest.perMinute) + 2 * toWarmest.se)
  return {
    expected: { nowC, roomC: room, perMinute },
    fastest: { nowC, roomC: warmest, perMinute: upTo },
  }
}

const limited = (perMinute: number): number => Math.max(0, Math.min(QUICKEST_MEASURED_PER_MIN, perMinute))

/** No thermometer: flat as expected, and for the early bound a fluid from the refrigerator in a warm room. */
export const warmingUnknown = (likelyC: number | undefined, roomC: number | undefined): WarmingAhead => {
  const nowC = likelyC ?? 12
  return {
    expected: { nowC, roomC: nowC, perMinute: 0 },
    fastest: { nowC, roomC: Math.max(nowC, roomC ?? WARM_ROOM_C), perMinute: QUICKEST_PER_MIN },
  }
}

/** Rate at t minutes from now over the rate now. */
export const rateFactor = (ahead: TemperatureAhead, minutes: number, energyKj: number): number => {
  if (ahead.perMinute === 0 || ahead.roomC === ahead.nowC) return 1
  const t = ahead.roomC + (ahead.nowC - ahead.roomC) * Math.exp(-ahead.perMinute * minutes)
  return arrheniusFactor(celsius(t), energyKj, celsius(ahead.nowC))
}

/** The display's step; it moves a trend by at most one step over the window, K. */
const DISPLAY_STEP_K = 0.1

/**
 * w of |room − T| = gap·e^(−w t) over the last quarter of an hour, by least squares on ln|room − T| weighted by its
 * square. Undefined when too little was seen, or when the fluid is at the room's temperature within 1 K.
 */
const approachPerMin = (
  course: TemperatureCourse,
  nowS: number,
  roomC: number,
): { perMinute: number; se: number } | undefined => {
  const gapNow = Math.abs(roomC - temperatureAt(course, nowS))
  if (gapNow < 1) return undefined
  let [w, wt, wy, wtt, wty, n] = [0, 0, 0, 0, 0, 0]
  let from = nowS
  for (let i = course.timesS.length - 1; i >= 0 && at(course.timesS, i) > nowS - TREND_S; i--) {
    if (at(course.timesS, i) > nowS) continue
    from = at(course.timesS, i)
    const gap = Math.max(DISPLAY_STEP_K, Math.abs(roomC - at(course.celsius, i)))
    const t = (from - nowS) / 60
    const weight = gap * gap
    w += weight
    wt += weight * t
    wy += weight * Math.log(gap)
    wtt += weight * t * t
    wty += weight * t * Math.log(gap)
    n++
  }
  const spanMin = (nowS - from) / 60
  if (n < 4 || spanMin < 2) return undefined
  const slope = (w * wty - wt * wy) / (w * wtt - wt * wt)
  return { perMinute: -slope, se: DISPLAY_STEP_K / (spanMin * gapNow) }
}
