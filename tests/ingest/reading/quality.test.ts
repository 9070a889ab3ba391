import { describe, expect, it } from 'vitest'
import type { ChannelMap, Sent } from '../../../ingest/reading/channel-map.ts'
import { currentMark, scaleCurrent } from '../../../ingest/reading/current-loop.ts'
import { assess, GREATEST_CHANGE_PER_S } from '../../../ingest/reading/quality.ts'

const METER: ChannelMap = {
  channel: 'dissolved-ozone',
  unit: 'ug/L',
  convert: (sent) => sent / 1000,
  limits: { range: [-2, 300], maxChangePerS: 10 },
}
const number = (raw: number): Sent => ({ kind: 'number', raw })

describe('what is stored of a number', () => {
  it('above the range is a bound: clipped at the bound', () => {
    expect(assess({ kind: 'at-least', raw: 20_000 }, METER, 0)).toEqual({
      raw: 20_000,
      value: 20,
      quality: 'clipped',
    })
  })

  it('below detection is no value, not clipped and not 0; the bound stays as sent', () => {
    expect(assess({ kind: 'less-than', raw: 50 }, METER, 0)).toEqual({
      raw: 50,
      value: null,
      quality: 'out-of-range',
    })
  })

  it('that is none is a fault without a value', () => {
    expect(assess({ kind: 'none' }, METER, 0)).toEqual({ raw: null, value: null, quality: 'fault' })
  })

  it('that jumps faster than all of the gas could do is marked and kept', () => {
    const before = { value: 10, monoMs: 0 }
    expect(assess(number(30_000), METER, 1000, before)).toEqual({
      raw: 30_000,
      value: 30,
      quality: 'implausible-rate',
    })
    expect(assess(number(19_000), METER, 1000, before).quality).toBe('good')
    // at most Q · C / V: 500 mL/min × 100 µg/mL / 100 mL = 500 mg/L per min
    expect(GREATEST_CHANGE_PER_S['dissolved-ozone']).toBeGreaterThan(500 / 60)
  })
})

describe('what is stored of a current', () => {
  const LOOP: ChannelMap = {
    ...METER,
    unit: 'mA',
    convert: (mA) => scaleCurrent(Math.min(mA, 20), { at4mA: 0, at20mA: 50 }),
    signal: currentMark,
    limits: { range: [-2, 300], fullScale: 50 },
  }
  it.each([
    // value and band by the tables of IEC 60381-1 and NAMUR NE 43
    [3.5, null, 'fault'],
    [3.7, -0.9375, 'out-of-range'],
    [3.8, -0.625, 'good'],
    [12, 25, 'good'],
    [20, 50, 'clipped'],
    [20.4, 50, 'clipped'],
    [20.8, 50, 'out-of-range'],
    [21.5, null, 'fault'],
  ] as const)('at %s mA: %s, %s', (mA, value, quality) => {
    const stored = assess(number(mA), LOOP, 0)
    expect(stored).toMatchObject({ raw: mA, quality })
    if (value === null) expect(stored.value).toBeNull()
    else expect(stored.value).toBeCloseTo(value, 9)
  })
})
