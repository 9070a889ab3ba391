import { describe, expect, it } from 'vitest'
import { expectation } from '../../../server/model/expectation.ts'
import { expectedDecay, expectedRise } from '../../../server/model/expected-curve.ts'

const cold = {
  fluid: 'saline',
  volumeMl: 250,
  gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' },
  flowMlPerMin: 250,
  temperatureC: 5,
} as const

describe('what physics expects of a batch', () => {
  it('puts the plateau under equilibrium by the part that decays while bubbling', () => {
    const expected = expectation(cold)
    // equilibrium 21.5 mg/L: solubility table, 50 µg/NmL in saline at 5 °C
    expect(expected.plateau_mg_l.central).toBeLessThan(21.5)
    expect(expected.plateau_mg_l.central).toBeGreaterThan(0.95 * 21.5)
  })

  it('is always a band with sources', () => {
    const { plateau_mg_l, rate_per_min, t95_min, half_life_min } = expectation(cold)
    for (const band of [plateau_mg_l, rate_per_min, t95_min, half_life_min]) {
      expect(band.low).toBeLessThan(band.central)
      expect(band.central).toBeLessThan(band.high)
      expect(band.sources.length).toBeGreaterThan(0)
    }
  })

  it('holds more and lasts longer when colder', () => {
    const warm = expectation({ ...cold, temperatureC: 20 })
    const chilled = expectation(cold)
    // 20 → 5 °C: equilibrium × 1.70 in water, half-life × 2.8 to 5.8 (Arrhenius 46 to 80 kJ/mol)
    const held = chilled.plateau_mg_l.central / warm.plateau_mg_l.central
    const lasted = chilled.half_life_min.central / warm.half_life_min.central
    expect(held).toBeGreaterThan(1.65)
    expect(held).toBeLessThan(1.85)
    expect(lasted).toBeGreaterThan(2.8)
    expect(lasted).toBeLessThan(5.8)
  })

  it('cannot fill faster than the gas brings ozone', () => {
    const slow = expectation({ ...cold, volumeMl: 500, flowMlPerMin: 125 })
    // Q/(SV) = 0.551 per min in water at 5 °C, 0.567 with salt; decay adds at most 0.02
    expect(slow.rate_per_min.high).toBeLessThan(0.567 + 0.03)
  })

  it('says when the barometer is assumed', () => {
    expect(expectation(cold).notes.join()).toContain('no barometer')
    expect(expectation({ ...cold, pressureKpa: 95 }).notes.join()).not.toContain('no barometer')
  })

  it.each([
    // 50 µg/NmL over water at 20 °C: altitude column of the solubility table that saturation.test.ts cites
    [101.325, 13.0],
    [95, 12.2],
    [84, 10.7],
    [70, 8.9],
  ])('takes the pressure of the barometer: %d kPa', (pressureKpa, mgPerL) => {
    const water = { ...cold, fluid: 'distilled', temperatureC: 20, volumeMl: 1, flowMlPerMin: 1000 } as const
    const at = (kpa: number) => expectation({ ...water, pressureKpa: kpa }).plateau_mg_l.central
    // the same part of equilibrium is reached at every pressure
    expect(Math.abs(at(pressureKpa) / at(101.325) - mgPerL / 13)).toBeLessThan(0.006)
  })

  it('lets no fluid outlast what hydroxide alone would leave it, where the pH is measured', () => {
    const water = { ...cold, fluid: 'distilled', temperatureC: 25 } as const
    const alkaline = expectation({ ...water, measured: { ph: 9 } }).half_life_min
    // at pH 9 and 25 °C 0.28 h with k = 70, Staehelin & Hoigné 1982
    expect(alkaline.central).toBeLessThan(16.8)
    expect(alkaline.high).toBeLessThan(20)
    expect(expectation({ ...water, measured: { ph: 5.5 } }).half_life_min.central).toBeCloseTo(
      expectation(water).half_life_min.central,
      0,
    )
  })

  it.each([
    [{ gasUgPerNml: 41 }, 'gas 41 µg/NmL as measured, 50 as recorded: the measured value is used'],
    [{ gasUgPerNml: 51 }, 'gas 51 µg/NmL as measured'],
    [{ flowMlPerMin: 125 }, 'flow 125 mL/min as measured, 250 as recorded: the measured value is used'],
    [{ conductivityUsPerCm: 3 }, 'conductivity 3.0 µS/cm: not that of 0.9 % saline'],
    [{ ph: 8.4 }, 'pH 8.4: hydroxide alone breaks ozone down, the faster the higher'],
  ])('says where what was measured is not what was recorded: %o', (measured, note) => {
    const recorded = { gas: cold.gas, flowMlPerMin: 250 }
    expect(expectation({ ...cold, measured, recorded }).notes).toContain(note)
  })

  it('finds nothing to say of saline that conducts like saline', () => {
    const { notes } = expectation({ ...cold, measured: { conductivityUsPerCm: 11_000, ph: 5.5 } })
    expect(notes.join()).not.toMatch(/conductivity|pH/)
  })

  it('draws a rise from the start value to the plateau and a decay from it', () => {
    const expected = expectation(cold)
    const [first, last] = expectedRise(expected, 2, [0, 1000])
    expect(first?.central).toBe(2)
    expect(last?.central).toBeCloseTo(expected.plateau_mg_l.central, 6)
    const [, half] = expectedDecay(expected, 20, [0, expected.half_life_min.central])
    expect(half?.central).toBeCloseTo(10, 9)
    expect(half?.low).toBeLessThan(10)
    expect(half?.high).toBeGreaterThan(10)
  })
})
