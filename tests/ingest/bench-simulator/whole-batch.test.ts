import { describe, expect, it } from 'vitest'
import { playScript } from '../../../ingest/bench-simulator/play-script.ts'
import type { BenchScript } from '../../../ingest/bench-simulator/script.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

/** Relative; the simulator's steps are of 1 s and shorter. */
const TOLERANCE = 1e-6

// python3 fixtures/bench-simulator/integrate_bench.py (scipy 1.10.1, DOP853, rtol 1e-12), which uses the closed form of
// the depletion integral. Columns: s, dissolved mg/L, fluid °C, probe mg/L, thermometer °C.
const BY_ORDER = {
  1: [
    [60, 7.32020951, 5.55732629, 5.91042065, 6.2284672],
    [180, 15.88198111, 6.61776389, 15.21029241, 6.44705132],
    [300, 19.70048702, 7.60981068, 19.41669955, 7.44812842],
    [330, 16.39581277, 7.84765959, 17.61685157, 7.6886457],
    [360, 13.63034442, 8.0815772, 14.79703505, 7.92519069],
    [480, 13.09907284, 8.97921825, 13.15661758, 8.83291733],
    [900, 11.27265104, 11.68897878, 11.32813796, 11.57312461],
    [1800, 6.842048, 15.7460495, 6.8953156, 15.67578039],
    [2700, 3.87977879, 18.20678728, 3.91342153, 18.16416691],
  ],
  1.5: [
    [300, 19.67849628, 7.60981068, 19.39852252, 7.44812842],
    [900, 11.30851262, 11.68897878, 11.36159091, 11.57312461],
    [2700, 4.4643511, 18.20678728, 4.49473656, 18.16416691],
  ],
  2: [
    [300, 19.64865447, 7.60981068, 19.37320326, 7.44812842],
    [900, 11.32701343, 11.68897878, 11.37808965, 11.57312461],
    [2700, 4.85560939, 18.20678728, 4.88419317, 18.16416691],
  ],
} as const

describe('a whole batch: cold saline, 5 min of ozone, 1 min of purge, standing in a warm room, 100 mL drawn', () => {
  it.each([1, 1.5, 2] as const)('agrees with scipy at every moment for decay of order %d', (order) => {
    const samples = [...playScript(batch(order), { untilS: 2701, everyS: 30 })]
    for (const [atS, ...expected] of BY_ORDER[order]) {
      const sample = samples.find((s) => s.atS === atS)
      const got = [sample?.trueMgPerL, sample?.fluidC, sample?.meterMgPerL, sample?.thermometerC]
      for (const [column, value] of got.entries()) {
        expect(relative(value, expected[column]), `${atS} s, column ${column}`).toBeLessThan(TOLERANCE)
      }
    }
  })
})

const relative = (got = Number.NaN, expected = Number.NaN): number => Math.abs(got / expected - 1)

const batch = (decayOrder: 1 | 1.5 | 2): BenchScript => ({
  seed: 1,
  settings: {
    flask: { warmingMin: 30 },
    meter: { ...QUIET.meter, lagS: 13 },
    thermometer: { ...QUIET.thermometer, lagS: 20 },
  },
  events: [
    { atS: 0, action: fill({ fluid: 'saline', temperatureC: 5, fluidHalfLifeMin20: 30, decayOrder }) },
    { atS: 0, action: ozoneOn() },
    { atS: 300, action: { do: 'ozone-off' } },
    { atS: 360, action: { do: 'flow-off' } },
    { atS: 900, action: { do: 'draw', ml: 100 } },
  ],
})
