import { describe, expect, it } from 'vitest'
import { measuredBatch } from '../../support/measured-batch.ts'

/** Ozone is on from minute 1 of a batch to minute 4, the flow to minute 5. */
const BESIDE = [
  { channel: 'gas-ozone', at: (s: number) => (s >= 60 && s < 240 ? 42 : 0.2) },
  { channel: 'gas-flow', at: (s: number) => (s < 300 ? 310 : 0) },
  { channel: 'barometric-pressure', bench: 'B', at: () => 95 },
  { channel: 'ph', at: () => 5.6 },
  { channel: 'conductivity', at: () => 2.5 },
  { channel: 'redox-potential', at: () => 900 },
] as const
const SETTINGS = { gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' }, flow_ml_per_min: 500 } as const

describe('what is measured beside the fluid', () => {
  it('stands before what was recorded in what the physics expects', () => {
    const { input } = measuredBatch([], SETTINGS, { beside: BESIDE }).read()
    const { gas, flowMlPerMin, pressureKpa, measured, recorded } = input.expectation ?? {}
    expect(gas).toEqual({ ugPerMl: 42, reference: 'normal-0c-101kpa' })
    expect(flowMlPerMin).toBe(310)
    expect(pressureKpa, "the house's one barometer hangs at another bench").toBe(95)
    expect(measured?.ph).toBeCloseTo(5.6, 9)
    expect(measured?.conductivityUsPerCm).toBe(2.5)
    expect(recorded).toMatchObject({ flowMlPerMin: 500 })
  })

  it('gives the physics something to expect where nothing was recorded', () => {
    const unrecorded = { gas: undefined, flow_ml_per_min: undefined }
    expect(measuredBatch([], unrecorded).read().input.expectation).toBeUndefined()
    const { input } = measuredBatch([], unrecorded, { beside: BESIDE }).read()
    expect(input.expectation?.flowMlPerMin).toBe(310)
  })

  it('is what it always was where nothing is wired', () => {
    const { input } = measuredBatch([], SETTINGS).read()
    expect(input.gas).toBeUndefined()
    expect(input.expectation).toEqual({
      fluid: 'saline',
      volumeMl: 250,
      gas: { ugPerMl: 60, reference: 'normal-0c-101kpa' },
      flowMlPerMin: 500,
      temperatureC: 20,
    })
  })

  it('is shown live with its unit, and the vented ozone counts with it', () => {
    const live = measuredBatch([], SETTINGS, { beside: BESIDE, untilMinute: 3 }).live().view()
    expect(live.companions.map((c) => [c.channel, c.value, c.unit, c.state])).toEqual([
      ['gas-ozone', 42, 'µg/NmL', 'live'],
      ['gas-flow', 310, 'mL/min', 'live'],
      ['barometric-pressure', 95, 'kPa', 'live'],
      ['ph', 5.6, 'pH', 'live'],
      ['conductivity', 2.5, 'µS/cm', 'live'],
      ['redox-potential', 900, 'mV', 'live'],
    ])
    // 42 µg/NmL at 20 °C is 39.1 µg/mL; 310 mL/min for two minutes is 24.3 mg, of which 250 mL at 20 mg/L hold 5
    expect(live.vented_mg).toBeGreaterThan(18.9)
    expect(live.vented_mg).toBeLessThan(19.6)
  })
})
