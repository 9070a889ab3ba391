import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { currentMark, scaleCurrent } from '../../../ingest/reading/current-loop.ts'
import { pt100Resistance, pt100Temperature } from '../../../ingest/reading/pt100.ts'
import { celsius, ohms } from '../../../ingest/units.ts'

describe('a 4-20 mA signal', () => {
  const SPAN = { at4mA: 0, at20mA: 50 }
  it.each([
    // linear by definition (IEC 60381-1): 16 mA are the span
    [3.6, -1.25],
    [3.8, -0.625],
    [4, 0],
    [8, 12.5],
    [12, 25],
    [16, 37.5],
    [20, 50],
    [20.5, 51.5625],
    [21, 53.125],
  ])('of %s mA over 0 to 50 is %s', (mA, value) => {
    expect(scaleCurrent(mA, SPAN)).toBeCloseTo(value, 9)
  })

  it.each([
    // bands of NAMUR NE 43: failure at or under 3.6 and at or over 21.0 (read in a public summary); 3.8 and 20.5 from memory
    [0, 'fault'],
    [3.6, 'fault'],
    [3.61, 'out-of-range'],
    [3.79, 'out-of-range'],
    [3.8, undefined],
    [4, undefined],
    [19.99, undefined],
    [20, 'clipped'],
    [20.5, 'clipped'],
    [20.51, 'out-of-range'],
    [20.99, 'out-of-range'],
    [21, 'fault'],
    [22, 'fault'],
  ])('of %s mA is marked %s', (mA, mark) => {
    expect(currentMark(mA)).toBe(mark)
  })
})

describe('a Pt100', () => {
  /** Ω: the polynomial of IEC 60751 with its coefficients (public reprints), worked out in Python and rounded to 4 decimals. */
  const TABLE: readonly [number, number][] = [
    [-200, 18.5201],
    [-40, 84.2707],
    [-10, 96.0859],
    [0, 100],
    [5, 101.9527],
    [10, 103.9025],
    [20, 107.7935],
    [25, 109.7347],
    [37, 114.3817],
    [50, 119.3971],
    [100, 138.5055],
    [200, 175.856],
    [850, 390.4811],
  ]

  it.each(TABLE)('at %s °C has %s Ω', (t, resistance) => {
    expect(pt100Resistance(celsius(t))).toBeCloseTo(resistance, 4)
  })

  // the table ends at 0.00005 Ω, which is 0.0002 K
  it.each(TABLE)('is read as %s °C at %s Ω, below zero too', (t, resistance) => {
    const read = pt100Temperature(ohms(Math.min(Math.max(resistance, 18.5201), 390.48112)))
    expect(read).toBeDefined()
    expect(Math.abs((read ?? Number.NaN) - t)).toBeLessThan(0.0003)
  })

  it('comes back from any temperature of the standard', () => {
    fc.assert(
      fc.property(fc.double({ min: -200, max: 850, noNaN: true }), (t) => {
        expect(pt100Temperature(pt100Resistance(celsius(t)))).toBeCloseTo(t, 7)
      }),
    )
  })

  it.each([0, 10, 18.5, 390.5, 1e9, Number.NaN])(
    'that is broken or shorted (%s Ω) has no temperature',
    (resistance) => {
      expect(pt100Temperature(ohms(resistance))).toBeUndefined()
    },
  )
})
