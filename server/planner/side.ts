import { minutesByClock } from '../forecast/time-to-target.ts'
import { warmingUnknown } from '../forecast/warming-ahead.ts'
import { ACTIVATION_ENERGY } from '../model/arrhenius.ts'
import { mgPerM3FromPpm } from '../model/gas-units.ts'
import { bandOf, type PlanBand, scaled } from './band.ts'
import { type Course, courseOf, type Rates } from './course.ts'
import { doingOf, type PlanInput } from './plan-input.ts'

/** What is expected of a planned batch, each as a band; what cannot be told is not there. */
export interface PlanBands {
  readonly plateau_mg_l?: PlanBand
  readonly t95_min?: PlanBand
  readonly half_life_min?: PlanBand
  readonly reaches_target_min?: PlanBand
  readonly ozone_off_mg_l?: PlanBand
  readonly purge_lost_percent?: PlanBand
  readonly flow_off_mg_l?: PlanBand
  readonly above_target_min?: PlanBand
  readonly vented_mg?: PlanBand
  readonly vented_ppm?: PlanBand
  readonly flask_mg?: PlanBand
  readonly flask_ppm?: PlanBand
}

/** Least and greatest over all the rates that cannot be ruled out. */
export const bandsOver = (rates: readonly Rates[], plan: PlanInput): PlanBands => {
  const courses = rates.map((one) => courseOf(one, doingOf(plan)))
  const over = (key: keyof Course) => bandOf(courses.map((course) => course[key] ?? Number.NaN))
  const [vented, flask] = [over('vented_mg'), over('flask_mg')]
  return {
    plateau_mg_l: over('plateau_mg_l'),
    t95_min: over('t95_min'),
    half_life_min: bandOf(rates.map((r) => Math.LN2 / r.decayPerMin)),
    ozone_off_mg_l: over('ozone_off_mg_l'),
    purge_lost_percent: over('purge_lost_percent'),
    flow_off_mg_l: over('flow_off_mg_l'),
    ...(plan.targetMgPerL === undefined
      ? {}
      : {
          reaches_target_min: over('reaches_target_min'),
          above_target_min: warmed(over('above_target_min'), plan),
        }),
    vented_mg: vented,
    flask_mg: flask,
    ...(plan.roomM3 === undefined
      ? {}
      : { vented_ppm: roomPpm(vented, plan.roomM3), flask_ppm: roomPpm(flask, plan.roomM3) }),
  }
}

/** The early end counts a fluid that warms toward the room as quickly as cannot be ruled out; a cold one loses minutes so. */
const warmed = (still: PlanBand, plan: PlanInput): PlanBand => ({
  low: minutesByClock(
    still.low ?? 0,
    warmingUnknown(plan.temperatureC, plan.roomC).fastest,
    ACTIVATION_ENERGY.high,
  ),
  high: still.high,
})

/** In a closed room without any ventilation, evenly mixed, none of it decayed: an upper end. Air of 20 °C, 101.3 kPa. */
export const roomPpm = (mg: PlanBand, roomM3: number): PlanBand =>
  scaled(mg, 1 / (roomM3 * mgPerM3FromPpm(1, 20)))
