import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const settings = {
  ...QUIET,
  room: { temperatureC: 20 },
  roomOzone: { roomM3: 40, airChangesPerH: 0, leakShare: 1, noisePpm: 0 },
}

describe('room ozone', () => {
  it('rises to 1.57 ppm in an unventilated 40 m³ room when all of 125 mg is vented', () => {
    // 0.25 L/min × 50 µg/mL for 10 min = 125 mg, 3.13 mg/m³, 1 ppm = 1.995 mg/m³ at 20 °C (ideal gas). Saturated fluid
    // takes up nothing more; the gas value is the one that makes 50 µg per actual mL, humid.
    const gas = 50 * (293.15 / 273.15) * (101.325 / (101.325 - 2.33344))
    const bench = createSimulatedBench(settings, 1)
    bench.apply(fill({ volumeMl: 1, dissolvedMgPerL: 50 * 0.28609 }))
    bench.apply(ozoneOn(gas, 250))
    bench.step(600)
    expect(Math.abs((bench.readings().roomOzonePpm ?? 0) - 1.57)).toBeLessThanOrEqual(0.005)
  })

  it('rises by 0.06 ppm when 5 mg is poured away, and falls again with the air changes', () => {
    // 250 mL at 20 µg/mL holds 5 mg: 0.125 mg/m³ in 40 m³, 0.063 ppm. Six air changes in an hour leave e^−6.
    const bench = createSimulatedBench(
      { ...settings, roomOzone: { ...settings.roomOzone, airChangesPerH: 6 } },
      1,
    )
    bench.apply(fill({ dissolvedMgPerL: 20 }))
    bench.apply({ do: 'discard' })
    expect(bench.readings().roomOzonePpm).toBe(0.063)
    bench.step(3600)
    expect(bench.readings().roomOzonePpm).toBe(0)
  })

  it('accounts for every milligram that went in: dissolved, and gone to the room', () => {
    // Mass balance: 5 min of 500 mL/min, no decay; what is not dissolved has left the flask.
    const bench = createSimulatedBench(settings, 1)
    bench.apply(fill())
    bench.apply(ozoneOn(60, 500))
    bench.step(300)
    const { trueMgPerL, roomOzonePpm = 0 } = bench.readings()
    const fedMg = ((60 * 273.15) / 293.15) * ((101.325 - 2.33344) / 101.325) * 0.5 * 5
    const roomMg = roomOzonePpm * 40 * ((47.997 * 101.325) / (8.314463 * 293.15))
    // The monitor shows 0.001 ppm, 0.08 mg of the 136 mg.
    expect(Math.abs(trueMgPerL * 0.25 + roomMg - fedMg)).toBeLessThan(0.05)
  })

  it('is not reported by a bench without a monitor', () => {
    expect(createSimulatedBench(QUIET, 1).readings()).not.toHaveProperty('roomOzonePpm')
  })
})
