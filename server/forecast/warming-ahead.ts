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

/** From the measured trend toward room temperature. */
export const warmingAhead = (
  course: TemperatureCourse,
  nowS: number,
  roomC: number | undefined,
): WarmingAhead => {
  const nowC = temperatureAt(course, nowS)
  const room = roomC ?? ROOM_C
  const gap = room - nowC
  const trend = trendPerMin(course, nowS)
  const measured = Math.abs(gap) < 1 || trend === undefined ? undefined : trend.slope / gap
  const perMinute = Math.max(
    0,
    Math.min(QUICKEST_MEASURED_PER_MIN, measured ?? (Math.abs(gap) < 1 ? 0 : QUICKEST_PER_MIN / 2)),
  )
  // a trend of ten minutes is worth half its rate; with no trend anything up to the quickest may come
  const upTo =
    trend === undefined
      ? QUICKEST_PER_MIN
      : Math.min(QUICKEST_MEASURED_PER_MIN, 1.5 * perMinute + 2 * trend.se)
  const warmest = Math.max(nowC, roomC ?? WARM_ROOM_C)
  return {
    expected: { nowC, roomC: room, perMinute },
    fastest: { nowC, roomC: warmest, perMinute: Math.max(perMinute, upTo) },
  }
}

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

const trendPerMin = (course: TemperatureCourse, nowS: number): { slope: number; se: number } | undefined => {
  const times: number[] = []
  const values: number[] = []
  for (let i = course.timesS.length - 1; i >= 0 && at(course.timesS, i) > nowS - TREND_S; i--) {
    if (at(course.timesS, i) > nowS) continue
    times.push(at(course.timesS, i) / 60)
    values.push(at(course.celsius, i))
  }
  const n = times.length
  if (n < 4 || at(times, 0) - at(times, n - 1) < 2) return undefined
  const meanT = times.reduce((a, b) => a + b, 0) / n
  const meanC = values.reduce((a, b) => a + b, 0) / n
  let tt = 0
  let tc = 0
  for (let i = 0; i < n; i++) {
    tt += (at(times, i) - meanT) ** 2
    tc += (at(times, i) - meanT) * (at(values, i) - meanC)
  }
  // a display of 0.1 K moves a trend by at most a step over the window
  return { slope: tc / tt, se: 0.1 / (at(times, 0) - at(times, n - 1)) }
}
