import { describe, expect, it } from 'vitest'
import { courseOf } from '../../../server/planner/course.ts'
import { roomPpm } from '../../../server/planner/side.ts'

const DOING = {
  volumeMl: 250,
  gasUgPerMl: 50,
  flowMlPerMin: 250,
  prepMin: 10,
  purgeMin: 1,
  purgeThroughFluid: true,
  targetMgPerL: 10,
}
const rates = (transferPerMin: number, decayPerMin = 0.0231, plateauMgPerL = 20) => ({
  transferPerMin,
  decayPerMin,
  plateauMgPerL,
})

describe('the course of a planned batch', () => {
  it.each([
    // a minute of oxygen through the fluid: worked out from dC/dt = −(k_app + k_d)·C, k_d 0.0231/min, rounded to 1 %
    [0.33, 30],
    [0.48, 40],
    [0.6, 46],
    [0.87, 59],
  ])('loses in a minute of purge through the fluid at %f per min about %d %%', (transfer, percent) => {
    expect(Math.abs(courseOf(rates(transfer), DOING).purge_lost_percent - percent)).toBeLessThan(0.6)
  })

  it('loses only what decays when the tube is lifted clear', () => {
    const course = courseOf(rates(0.6), { ...DOING, purgeThroughFluid: false })
    // 1 − e^(−0.0231)
    expect(course.purge_lost_percent).toBeCloseTo(2.28, 2)
  })

  it.each([
    // t95 = ln 20/k, at k_app of the gas-depletion formula, for 250 mL at 500 and 125 mL/min and kLa 0.5/min, S 0.286
    [0.4825, 6.21],
    [0.4349, 6.89],
  ])('fills to 95 %% at %f per min in %f min', (transfer, minutes) => {
    expect(courseOf(rates(transfer, 1e-9), DOING).t95_min).toBeCloseTo(minutes, 2)
  })

  it('counts the minutes above the target from flow-off on', () => {
    const course = courseOf(rates(3), { ...DOING, purgeMin: 0, targetMgPerL: 10 })
    // from 20 to 10 mg/L is one half-life: ln 2/0.0231
    expect(course.above_target_min).toBeCloseTo(30.0, 1)
    expect(courseOf(rates(3), { ...DOING, targetMgPerL: 25 }).above_target_min).toBe(0)
    expect(courseOf(rates(3), { ...DOING, targetMgPerL: 25 }).reaches_target_min).toBe(
      Number.POSITIVE_INFINITY,
    )
  })

  it('vents what does not dissolve: the balance of a step-by-step integration', () => {
    const [transfer, decay, plateau] = [0.6, 0.0231, 20]
    const equilibrium = (plateau * (transfer + decay)) / transfer
    const step = 0.0005
    let potency = 0
    let takenUpMg = 0
    for (let t = 0; t < 10; t += step) {
      const intoFluid = transfer * (equilibrium - potency)
      takenUpMg += (intoFluid * step * 250) / 1000
      potency += (intoFluid - decay * potency) * step
    }
    let strippedMg = 0
    for (let t = 0; t < 1; t += step) {
      strippedMg += (transfer * potency * step * 250) / 1000
      potency -= (transfer + decay) * potency * step
    }
    const course = courseOf(rates(transfer, decay, plateau), DOING)
    expect(course.vented_mg).toBeCloseTo(125 - takenUpMg + strippedMg, 1)
    expect(course.flow_off_mg_l).toBeCloseTo(potency, 1)
  })

  it('of gas that does not dissolve at all vents all of it, and makes of that the ppm of a closed room', () => {
    const { vented_mg } = courseOf(rates(1e-9, 1e-12, 1e-9), { ...DOING, purgeMin: 0 })
    // 0.25 L/min of 50 µg/mL for 10 min: 125 mg
    expect(vented_mg).toBeCloseTo(125, 6)
    // 1 ppm = 1.995 mg/m³ at 20 °C and 101.325 kPa: ppm·M·P/(R·T). 125 mg in 40 m³: 1.57 ppm
    expect(roomPpm({ low: vented_mg, high: vented_mg }, 40).high).toBeCloseTo(1.57, 2)
    // 250 mL of 20 µg/mL hold 5 mg: 0.06 ppm in 40 m³; 1 L of 30: 0.38 ppm
    expect(roomPpm({ low: 5, high: 30 }, 40).low).toBeCloseTo(0.063, 3)
    expect(roomPpm({ low: 5, high: 30 }, 40).high).toBeCloseTo(0.376, 3)
  })

  it('without a prep time bubbles until 95 % of the plateau', () => {
    const { prepMin: _, ...open } = DOING
    const course = courseOf(rates(0.6), open)
    expect(course.ozone_off_mg_l).toBeCloseTo(19, 9)
  })
})
