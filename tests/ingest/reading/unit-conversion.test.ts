import { describe, expect, it } from 'vitest'
import { acceptedUnits, toCanonical } from '../../../ingest/reading/unit-conversion.ts'

describe('units a meter may send', () => {
  it.each([
    // definitions of the units (SI Brochure, 9th ed.; °F by NIST SP 811, B.8)
    ['dissolved-ozone', 'ug/mL', 18.2, 18.2],
    ['dissolved-ozone', 'ppb', 18_200, 18.2],
    ['fluid-temperature', 'F', 41, 5],
    ['fluid-temperature', 'K', 278.15, 5],
    ['gas-flow', 'L/min', 0.25, 250],
    ['gas-flow', 'L/h', 15, 250],
    ['room-ozone', 'ppb', 50, 0.05],
    ['barometric-pressure', 'hPa', 1013.25, 101.325],
    ['conductivity', 'mS/cm', 1.5, 1500],
  ] as const)('%s in %s', (channel, unit, sent, canonical) => {
    expect(toCanonical(channel, unit)?.(sent)).toBeCloseTo(canonical, 9)
  })

  it('are refused when they do not belong to the channel, and the accepted ones can be named', () => {
    expect(toCanonical('dissolved-ozone', 'mV')).toBeUndefined()
    expect(acceptedUnits('dissolved-ozone')).toContain('mg/L')
  })
})
