import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { transferFrom } from '../../../ingest/bench-simulator/gas-transfer.ts'
import { solubilityRatio } from '../../../ingest/bench-simulator/solubility.ts'
import { celsius, mgPerL, millilitres, mlPerMin } from '../../../ingest/units.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const column = (volume: number, flow: number, solubility: number, transferPerMin: number) => ({
  volume: millilitres(volume),
  flow: mlPerMin(flow),
  solubility,
  transferPerMin,
})

// Closed form of the depletion integral, (Q/(S V))(1 − exp(−kLa S V/Q)); columns: V mL, Q mL/min, S, kLa 1/min,
// k_app 1/min, absorbed share of the gas at the start; numpy.
const TABLE = [
  [250, 500, 0.286, 0.5, 0.4825, 0.069],
  [250, 125, 0.286, 0.5, 0.4349, 0.249],
  [500, 125, 0.286, 0.5, 0.3808, 0.436],
  [500, 125, 0.454, 0.5, 0.3286, 0.597],
  [250, 250, 0.286, 1.0, 0.8697, 0.249],
  [250, 250, 0.286, 3.0, 2.014, 0.576],
  [500, 125, 0.454, 3.0, 0.548, 0.996],
] as const

/** Half a unit of the last printed digit, where that is the third decimal. */
const LAST_DIGIT: Record<number, number> = { 2.014: 0.0005, 0.548: 0.0005 }

describe('gas transfer', () => {
  it('gives the transfer of the depletion integral for the worked case, 13.4318 µg/mL per min', () => {
    // V 250 mL, Q 250 mL/min, S 0.286, kLa 1/min, equilibrium 15.444 µg/mL (gas 54): 3.4965·(1 − e^−0.286)·15.444.
    const rate = transferFrom({ ...column(250, 250, 0.286, 1), gasIn: mgPerL(54), dissolved: mgPerL(0) })
    expect(Math.abs(rate.mgPerLMin - 13.4318)).toBeLessThan(0.00011)
  })

  it.each(TABLE)(
    'for %d mL, %d mL/min, S %d, kLa %d the rate is %d and the share %d',
    (v, q, s, kLa, rate, share) => {
      const start = transferFrom({ ...column(v, q, s, kLa), gasIn: mgPerL(60), dissolved: mgPerL(0) })
      expect(Math.abs(start.mgPerLMin / (s * 60) - rate)).toBeLessThanOrEqual(LAST_DIGIT[rate] ?? 0.00005)
      expect(Math.abs(1 - start.gasOut / 60 - share)).toBeLessThanOrEqual(0.0005)
    },
  )

  it('carries nothing when the fluid is in equilibrium with the gas', () => {
    const still = transferFrom({
      ...column(250, 250, 0.286, 1),
      gasIn: mgPerL(60),
      dissolved: mgPerL(60 * 0.286),
    })
    expect(Math.abs(still.mgPerLMin)).toBeLessThan(1e-9)
  })

  it('hands on what the supply limits when the bubbles are infinitely good', () => {
    const rate = transferFrom({ ...column(500, 10, 0.3, 1000), gasIn: mgPerL(60), dissolved: mgPerL(0) })
    expect(rate.mgPerLMin).toBeCloseTo((10 * 60) / 500, 6)
  })
})

describe('the log of the deficit while bubbling', () => {
  // The table's S of 0.286 and 0.454 are those of 20 and 5 °C to three digits, which is worth 0.1 % of k_app.
  it.each(TABLE)('falls at the tabled rate for %d mL, %d mL/min, S %d, kLa %d: %d', (v, q, s, kLa, rate) => {
    const temperatureC = s === 0.286 ? 20 : 5
    const bench = createSimulatedBench(
      { ...QUIET, flask: { ...QUIET.flask, transferPerMin20: kLa }, room: { temperatureC } },
      1,
    )
    bench.apply(fill({ volumeMl: v, temperatureC }))
    bench.apply(ozoneOn(60, q))
    const rise = Array.from({ length: 181 }, (_, second) => {
      if (second > 0) bench.step(1)
      return bench.readings().trueMgPerL
    })
    bench.step(3600)
    const plateau = bench.readings().trueMgPerL
    expect(Math.abs(slopePerMin(rise, plateau) / rate - 1)).toBeLessThan(0.001)
  })
})

describe('oxygen purge through the fluid', () => {
  // 1 − exp(−(k_app + k_d)), k_d = ln 2/30 min: numpy, whole percent.
  it.each([
    [0.33, 30],
    [0.48, 40],
    [0.6, 46],
    [0.87, 59],
  ])('at an apparent rate of %d per minute one minute costs %d %%', (kApp, percent) => {
    const bench = createSimulatedBench(
      {
        ...QUIET,
        flask: { ...QUIET.flask, transferPerMin20: kLaFor(kApp, 250, 500) },
        room: { temperatureC: 20 },
      },
      1,
    )
    bench.apply(fill({ fluidHalfLifeMin20: 30 }))
    bench.apply(ozoneOn(60, 500))
    bench.step(1800)
    const before = bench.readings().trueMgPerL
    bench.apply({ do: 'ozone-off' })
    bench.step(60)
    expect(Math.round((1 - bench.readings().trueMgPerL / before) * 100)).toBe(percent)
  })

  it.each(['lifted-clear', 'bypass', 'none'] as const)(
    'costs nothing when the oxygen goes elsewhere: %s',
    (purge) => {
      const bench = createSimulatedBench({ ...QUIET, room: { temperatureC: 20 } }, 1)
      bench.apply(fill({ dissolvedMgPerL: 10 }))
      bench.apply(ozoneOn(60, 500))
      bench.apply({ do: 'ozone-off', purge })
      bench.step(60)
      expect(bench.readings().trueMgPerL).toBeCloseTo(10, 9)
    },
  )
})

/** Ordinary least squares of ln(plateau − C) on minutes, by the textbook sums. */
const slopePerMin = (rise: readonly number[], plateau: number): number => {
  const x = rise.map((_, second) => second / 60)
  const y = rise.map((value) => Math.log(plateau - value))
  const mean = (list: readonly number[]) => list.reduce((sum, v) => sum + v, 0) / list.length
  const [mx, my] = [mean(x), mean(y)]
  const sxy = x.reduce((sum, v, i) => sum + (v - mx) * ((y[i] ?? 0) - my), 0)
  return -sxy / x.reduce((sum, v) => sum + (v - mx) ** 2, 0)
}

/** Inverse of the closed form: −(Q/(S V))·ln(1 − k_app S V/Q). */
const kLaFor = (kApp: number, volume: number, flow: number): number => {
  const supply = flow / (solubilityRatio(celsius(20), 0) * volume)
  return -supply * Math.log(1 - kApp / supply)
}
