import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { solubilityRatio } from '../../../ingest/bench-simulator/solubility.ts'
import { celsius } from '../../../ingest/units.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const lagged = (lagS: number) => ({ ...QUIET, meter: { ...QUIET.meter, lagS }, room: { temperatureC: 20 } })

/** The expected shares are printed to five decimals; the steps may add 1e-6. */
const HALF_LAST_DIGIT = 0.000005 + 0.000001

describe('probe', () => {
  it('follows a rise at 0.6 per minute with a lag of half a minute as the two-exponential response says', () => {
    // C_p/C_ss = 1 − [k_p e^(−kt) − k e^(−k_p t)]/(k_p − k), k 0.6/min, τ 0.5 min; numpy, five decimals.
    const expected = [0.09935, 0.27398, 0.57757, 0.76492, 0.9289, 0.99646]
    const supply = 500 / (solubilityRatio(celsius(20), 0) * 250)
    const transferPerMin20 = -supply * Math.log(1 - 0.6 / supply)
    const bench = createSimulatedBench({ ...lagged(30), flask: { ...QUIET.flask, transferPerMin20 } }, 1)
    bench.apply(fill())
    bench.apply(ozoneOn())
    let last = 0
    const got = [0.5, 1, 2, 3, 5, 10].map((minute) => {
      bench.step((minute - last) * 60)
      last = minute
      return bench.readings().meterMgPerL
    })
    bench.step(7200)
    const plateau = bench.readings().trueMgPerL
    for (const [index, value] of got.entries()) {
      expect(Math.abs(value / plateau - (expected[index] ?? Number.NaN))).toBeLessThanOrEqual(HALF_LAST_DIGIT)
    }
  })

  it('shows 63.2 % of a step after one lag, and 90 % of it after 30 s when the lag is 13 s', () => {
    // 1 − 1/e = 0.63212; T90 = τ·ln 10, so 13.0 s is a T90 of 30 s (29.93 s).
    const bench = createSimulatedBench(lagged(13), 1)
    bench.apply(fill({ dissolvedMgPerL: 10 }))
    bench.step(13)
    expect(Math.abs(bench.readings().meterMgPerL - 6.3212)).toBeLessThan(0.0001)
    bench.step(30 - 13)
    expect(Math.abs(bench.readings().meterMgPerL - 9)).toBeLessThan(0.01)
  })

  it('reads 2.4 % high during a decay of half-life 30 min with a lag of 1 min', () => {
    // 1/(1 − kτ) = 1.02365.
    const bench = createSimulatedBench(lagged(60), 1)
    bench.apply(fill({ dissolvedMgPerL: 20, fluidHalfLifeMin20: 30 }))
    bench.step(1800)
    const { meterMgPerL, trueMgPerL } = bench.readings()
    expect(Math.abs(meterMgPerL / trueMgPerL - 1.02365)).toBeLessThan(0.0001)
  })

  it('lifted out falls to nothing with its lag, keeps reading, and comes back when it returns', () => {
    const bench = createSimulatedBench(lagged(13), 1)
    bench.apply(fill({ dissolvedMgPerL: 10 }))
    bench.step(200)
    bench.apply({ do: 'probe-out' })
    bench.step(13)
    expect(bench.readings().meterMgPerL).toBeCloseTo(10 / Math.E, 3)
    bench.step(200)
    expect(bench.readings().meterMgPerL).toBeCloseTo(0, 4)
    expect(bench.readings().trueMgPerL).toBeCloseTo(10, 9)
    bench.apply({ do: 'probe-in' })
    bench.step(200)
    expect(bench.readings().meterMgPerL).toBeCloseTo(10, 4)
  })

  it('takes its thermometer out of the fluid with it', () => {
    const bench = createSimulatedBench({ ...QUIET, thermometer: { ...QUIET.thermometer, lagS: 20 } }, 1)
    bench.apply(fill({ temperatureC: 5 }))
    bench.step(400)
    expect(bench.readings().thermometerC).toBeCloseTo(5, 4)
    bench.apply({ do: 'probe-out' })
    bench.step(20)
    expect(bench.readings().thermometerC).toBeCloseTo(22 - 17 / Math.E, 3)
  })

  it('steps down when the bubbles stop stirring, without any ozone being lost', () => {
    const bench = createSimulatedBench(
      { ...QUIET, meter: { ...QUIET.meter, stillFluidShare: 0.9 }, room: { temperatureC: 20 } },
      1,
    )
    bench.apply(fill())
    bench.apply(ozoneOn())
    bench.step(3600)
    const stirred = bench.readings()
    bench.apply({ do: 'flow-off' })
    bench.step(1)
    const still = bench.readings()
    expect(still.meterMgPerL / stirred.meterMgPerL).toBeCloseTo(0.9, 6)
    expect(still.trueMgPerL / stirred.trueMgPerL).toBeCloseTo(1, 6)
  })
})
