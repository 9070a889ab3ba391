import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { SALINE_MOL_PER_L, solubilityRatio, waterVapour } from '../../../ingest/bench-simulator/solubility.ts'
import { celsius } from '../../../ingest/units.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

/** Printed to three decimals: half a unit of the last digit. */
const LAST_DIGIT = 0.0005

describe('solubility', () => {
  // Sander, Atmos. Chem. Phys. 23 (2023) 10901: H 1.0e-4 mol/(m³ Pa), 2800 K; S = H R T computed with numpy.
  it.each([
    [0, 0.536],
    [5, 0.454],
    [10, 0.387],
    [15, 0.332],
    [20, 0.286],
    [25, 0.248],
    [30, 0.216],
    [37, 0.179],
  ])('takes up at %d °C what the evaluated Henry constant says: %d', (t, expected) => {
    expect(Math.abs(solubilityRatio(celsius(t), 0) - expected)).toBeLessThanOrEqual(LAST_DIGIT)
  })

  // Kosak-Channing & Helz, Environ. Sci. Technol. 17 (1983) 145: 10^(−K_s·0.154), computed with numpy; an ion model
  // (Weisenberger & Schumpe 1996) gives the same to 0.2 %.
  it.each([
    [0, 0.979],
    [5, 0.972],
    [20, 0.953],
    [25, 0.947],
    [37, 0.934],
  ])('at %d °C leaves saline of 0.154 mol/L the share %d of it', (t, expected) => {
    const share = solubilityRatio(celsius(t), SALINE_MOL_PER_L) / solubilityRatio(celsius(t), 0)
    expect(Math.abs(share - expected)).toBeLessThanOrEqual(LAST_DIGIT)
  })

  // Wagner & Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387, saturation line (coefficients from memory), kPa.
  it.each([
    [5, 0.8725],
    [20, 2.3392],
    [37, 6.2824],
  ])(
    'knows the vapour pressure of water at %d °C, %d kPa, within the 0.4 %% of its source',
    (t, expected) => {
      expect(Math.abs(waterVapour(celsius(t)) / expected - 1)).toBeLessThan(0.004)
    },
  )
})

describe('plateau without decay', () => {
  // Sander solubility × 273.15/T × (P − p_w)/101.325 kPa, saline with the Sechenov factor above; numpy.
  it.each([
    [2, 0.4945, 0.4825],
    [5, 0.4423, 0.4299],
    [10, 0.369, 0.3562],
    [15, 0.3093, 0.2967],
    [20, 0.2604, 0.2482],
    [22, 0.2434, 0.2314],
    [25, 0.22, 0.2084],
    [37, 0.1481, 0.1384],
  ])('levels off at %d °C at %d of the gas value in water and %d in saline', (t, water, saline) => {
    expect(Math.abs(plateauShare(t, 'distilled') - water)).toBeLessThanOrEqual(0.00005001)
    expect(Math.abs(plateauShare(t, 'saline') - saline)).toBeLessThanOrEqual(0.00005001)
  })

  // 50 µg/NmL in water at 20 °C; same equations, numpy.
  it.each([
    [101.3, 13.0],
    [95, 12.2],
    [84, 10.7],
    [70, 8.9],
  ])('levels off lower where the air is thin: %d kPa gives %d µg/mL', (pressureKpa, expected) => {
    expect(Math.abs(plateauShare(20, 'distilled', pressureKpa) * 50 - expected)).toBeLessThanOrEqual(0.05)
  })
})

const plateauShare = (temperatureC: number, fluid: 'saline' | 'distilled', pressureKpa = 101.325): number => {
  const bench = createSimulatedBench({ ...QUIET, room: { temperatureC, pressureKpa } }, 1)
  bench.apply(fill({ fluid, temperatureC }))
  bench.apply(ozoneOn(50))
  bench.step(3600)
  return bench.readings().trueMgPerL / 50
}
