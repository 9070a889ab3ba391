import { describe, expect, it } from 'vitest'
import { celsius, ugPerNml } from '../../../ingest/units.ts'
import { atState, type GasReference, toNormal } from '../../../server/model/gas-concentration.ts'
import {
  fromWeightFraction,
  mgPerM3FromPpm,
  volumeFraction,
  weightFractionInOxygen,
} from '../../../server/model/gas-units.ts'
import { saltingOutFactor, sechenovMeasured } from '../../../server/model/salting-out.ts'
import { saturation, wideSaturation } from '../../../server/model/saturation.ts'
import { sander, solubilitySources } from '../../../server/model/solubility-sources.ts'

const water = (gas: number, t: number, kpa = 101.325) =>
  saturation(sander.ratio(celsius(t)), {
    gas: { ugPerMl: gas, reference: 'normal-0c-101kpa' },
    temperatureC: t,
    pressureKpa: kpa,
  })
const wilhelm = (t: number) =>
  (water(50, t) * (solubilitySources.find((s) => s.id === 'Wilhelm')?.ratio(celsius(t)) ?? Number.NaN)) /
  sander.ratio(celsius(t))
const saltAt = (t: number) => saltingOutFactor(sechenovMeasured(celsius(t)), 0.154)

/** Computed independently with numpy: t, C* per µg/NmL in water and saline, gas for 20/25/35 µg/mL in saline. */
const factors = [
  [2, 0.4945, 0.4825, 41, 52, 73],
  [5, 0.4423, 0.4299, 47, 58, 81],
  [10, 0.369, 0.3562, 56, 70, 98],
  [15, 0.3093, 0.2967, 67, 84, 118],
  [20, 0.2604, 0.2482, 81, 101, 141],
  [22, 0.2434, 0.2314, 86, 108, 151],
  [25, 0.22, 0.2084, 96, 120, 168],
  [37, 0.1481, 0.1384, 144, 181, 253],
] as const

describe('saturation with gas at 101.325 kPa', () => {
  it.each(factors)('at %d °C gives the printed factors and gas values', (t, inWater, inSaline, ...needed) => {
    expect(water(1, t)).toBeCloseTo(inWater, 4)
    const saline = water(1, t) * saltAt(t)
    expect(saline).toBeCloseTo(inSaline, 4)
    expect(needed.length).toBe(3)
    for (const [i, c] of [20, 25, 35].entries()) expect(Math.round(c / saline)).toBe(needed[i])
  })

  it('loses with altitude in proportion to the barometer', () => {
    const at = [101.3, 95, 84, 70].map((p) => water(50, 20, p).toFixed(1))
    expect(at).toEqual(['13.0', '12.2', '10.7', '8.9'])
  })

  it('spans the printed range at 5, 20 and 25 °C with 50 µg/NmL', () => {
    // the printed high edge counts the older Wilhelm (1977) fit, which the wide band leaves to its successor
    const printed = [
      [5, 18.5, 22.1, 23.7],
      [20, 10.5, 13.0, 16.2],
      [25, 8.3, 11.0, 14.3],
    ] as const
    for (const [t, low, central, high] of printed) {
      const band = wideSaturation({
        gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' },
        temperatureC: t,
        pressureKpa: 101.325,
        saline: false,
      })
      // within one unit of the last printed digit
      expect(Math.abs(band.low - low)).toBeLessThan(0.1)
      expect(Math.abs(band.central - central)).toBeLessThan(0.1)
      expect(Math.abs(wilhelm(t) - high)).toBeLessThan(0.1)
      expect(band.high).toBeLessThan(wilhelm(t))
    }
  })

  it('takes an ambient reading as it is, so that it exceeds the normalised one at 20 °C', () => {
    const where = { temperatureC: 20, pressureKpa: 101.325 }
    const ambient = saturation(0.286, { ...where, gas: { ugPerMl: 50, reference: 'ambient' } })
    // 0.286·50·(1 − 2.33/101.3), by hand
    expect(ambient).toBeCloseTo(13.97, 2)
  })
})

describe('gas units', () => {
  const rows = [
    [10, 0.467, 0.6988],
    [30, 1.4009, 2.0868],
    [40, 1.8679, 2.7759],
    [50, 2.3349, 3.462],
    [60, 2.8019, 4.1447],
    [80, 3.7358, 5.501],
    [100, 4.6698, 6.8448],
  ] as const
  it.each(rows)('%d µg/NmL is %d vol %% and %d wt %% in oxygen', (gas, volume, weight) => {
    expect(100 * volumeFraction(ugPerNml(gas))).toBeCloseTo(volume, 4)
    expect(100 * weightFractionInOxygen(ugPerNml(gas))).toBeCloseTo(weight, 3)
  })

  it.each([
    [1, 14.32, 2],
    [3, 43.26, 2],
    [5, 72.59, 2],
    [6, 87.41, 2],
    [10, 147.7, 1],
  ])('%d wt %% is %d µg/NmL', (percent, gas, digits) => {
    expect(fromWeightFraction(percent / 100)).toBeCloseTo(gas, digits)
  })

  it('gives the usual mg/m³ for 1 ppm', () => {
    const at = [mgPerM3FromPpm(1, 0), mgPerM3FromPpm(1, 20), mgPerM3FromPpm(1, 25), mgPerM3FromPpm(1, 22, 84)]
    expect(at.map((c) => c.toFixed(3))).toEqual(['2.141', '1.995', '1.962', '1.643'])
  })

  it('turns 50 µg/NmL into the printed values per actual mL and back', () => {
    const states: [GasReference, number, number][] = [
      ['stp-0c-100kpa', 0, 100],
      ['15c-101kpa', 15, 101.325],
      ['20c-101kpa', 20, 101.325],
      ['ambient', 22, 84],
    ]
    const actual = states.map(([, t, p]) => atState(ugPerNml(50), { celsius: t, kpa: p }))
    expect(actual.map((c) => c.toFixed(1))).toEqual(['49.3', '47.4', '46.6', '38.4'])
    states.forEach(([reference, t, p], i) => {
      const back = toNormal({ ugPerMl: actual[i] ?? Number.NaN, reference }, { celsius: t, kpa: p })
      expect(back).toBeCloseTo(50, 9)
    })
  })
})
