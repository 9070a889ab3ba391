import { describe, expect, it } from 'vitest'
import type { SimulatedSample } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { wireLine } from '../../../ingest/bench-simulator/wire-line.ts'
import { celsius, mgPerL, millilitres } from '../../../ingest/units.ts'

const sample: SimulatedSample = {
  atS: 123,
  trueMgPerL: mgPerL(23.2),
  fluidC: celsius(5.1),
  volumeMl: millilitres(250),
  meterMgPerL: mgPerL(23.4),
  clipped: false,
  thermometerC: celsius(5.12),
}

describe('wire line', () => {
  it('is the published check line, byte for byte', () => {
    // Project's own check vector; XOR of "SPGW,000123,23.40,ugml,5.12,C" recomputed with python: 0x5C.
    expect(wireLine(sample, 123)).toBe('$SPGW,000123,23.40,ugml,5.12,C*5C\r\n')
  })

  it('adds room ozone as one more pair when the bench has a monitor', () => {
    // python3 -c "from functools import reduce;print(hex(reduce(lambda a,b:a^b,b'SPGW,000123,23.40,ugml,5.12,C,0.03,ppm')))": 0x2c
    expect(wireLine({ ...sample, roomOzonePpm: 0.03 }, 123)).toBe(
      '$SPGW,000123,23.40,ugml,5.12,C,0.03,ppm*2C\r\n',
    )
  })

  it('starts its sequence again after 999999', () => {
    expect(wireLine(sample, 999_999)).toContain('SPGW,999999,')
    expect(wireLine(sample, 1_000_000)).toContain('SPGW,000000,')
  })

  it('writes a small negative value as zero, as a display does, and a larger one with its sign', () => {
    expect(wireLine({ ...sample, meterMgPerL: mgPerL(-0.001) }, 0)).toContain(',0.00,ugml')
    expect(wireLine({ ...sample, meterMgPerL: mgPerL(-0.25) }, 0)).toContain(',-0.25,ugml')
  })
})
