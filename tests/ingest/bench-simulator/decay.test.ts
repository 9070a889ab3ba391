import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import type { BenchSettingsInput } from '../../../ingest/bench-simulator/settings.ts'
import { fill, QUIET } from './quiet-bench.ts'

/** Half a unit of the second decimal. */
const HALF_LAST_DIGIT = 0.005

describe('decay', () => {
  // Half-life at t °C from that at 20 °C, k = k20·exp[−(E_a/R)(1/T − 1/293.15)]; numpy.
  it.each([
    [20, 5, 46, 55, 0.5],
    [20, 5, 50, 60.5, 0.05],
    [20, 5, 60, 75, 0.5],
    [20, 5, 70, 94, 0.5],
    [20, 5, 79.5, 116, 0.5],
    [30, 5, 46, 83, 0.5],
    [30, 5, 79.5, 174, 0.5],
    [30, 25, 46, 21.9, 0.05],
    [30, 25, 60, 19.9, 0.05],
    [30, 25, 79.5, 17.4, 0.05],
  ])(
    '%d min at 20 °C is, at %d °C with %d kJ/mol, %d min',
    (at20, t, activationKjPerMol, expected, digit) => {
      const left = shareLeft({ fluidHalfLifeMin20: at20, temperatureC: t, activationKjPerMol }, 30)
      expect(Math.abs((30 * Math.LN2) / -Math.log(left) - expected)).toBeLessThanOrEqual(digit)
    },
  )

  // C^(1−n) = C0^(1−n) + (n − 1) k t with C0 20, half-life 30 min; numpy, two decimals.
  it.each([
    [1, [15.87, 12.6, 10.0, 7.07, 5.0, 2.5, 1.25]],
    [1.5, [15.44, 12.28, 10.0, 7.61, 5.98, 3.98, 2.83]],
    [2, [15.0, 12.0, 10.0, 8.0, 6.67, 5.0, 4.0]],
  ] as const)(
    'of order %d from 20 µg/mL is at the tabled values after 10 … 120 min',
    (decayOrder, expected) => {
      for (const [index, minutes] of [10, 20, 30, 45, 60, 90, 120].entries()) {
        const value = 20 * shareLeft({ decayOrder, fluidHalfLifeMin20: 30 }, minutes)
        expect(Math.abs(value - (expected[index] ?? Number.NaN))).toBeLessThanOrEqual(HALF_LAST_DIGIT)
      }
    },
  )
})

describe('loss from an open surface', () => {
  // k_L·A/V with an 8 cm vessel (50.3 cm²) and 250 mL: half-lives 57, 29 and 11 min for k_L 1, 2 and 5e-5 m/s.
  it.each([
    [1e-5, 57],
    [2e-5, 29],
    [5e-5, 11],
  ])('with k_L %d m/s halves the ozone in %d min', (surfaceTransferMPerS, expected) => {
    const left = shareLeft({}, 10, { ...QUIET.flask, surfaceTransferMPerS })
    expect(Math.round((10 * Math.LN2) / -Math.log(left))).toBe(expected)
  })

  it('takes twice as long from twice the volume', () => {
    const flask = { ...QUIET.flask, surfaceTransferMPerS: 1e-5 }
    const small = Math.log(shareLeft({ volumeMl: 250 }, 10, flask))
    expect(Math.log(shareLeft({ volumeMl: 500 }, 10, flask))).toBeCloseTo(small / 2, 9)
  })

  it('adds to the decay: 90 min of chemistry and 57.5 min of surface make 35 min', () => {
    const flask = { ...QUIET.flask, surfaceTransferMPerS: (Math.LN2 / 57.5 / 60) * (250 / 50.3 / 100) }
    const left = shareLeft({ fluidHalfLifeMin20: 90 }, 10, flask)
    expect(Math.round((10 * Math.LN2) / -Math.log(left))).toBe(35)
  })
})

const shareLeft = (
  changes: Parameters<typeof fill>[0] = {},
  minutes: number,
  flask: BenchSettingsInput['flask'] = QUIET.flask,
): number => {
  const filling = fill({ dissolvedMgPerL: 20, ...changes })
  const bench = createSimulatedBench({ ...QUIET, flask, room: { temperatureC: filling.temperatureC } }, 1)
  bench.apply(filling)
  bench.step(minutes * 60)
  return bench.readings().trueMgPerL / 20
}
