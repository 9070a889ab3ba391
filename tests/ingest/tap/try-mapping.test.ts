import { describe, expect, it } from 'vitest'
import { type TriedFrame, tryMapping } from '../../../ingest/tap/try-mapping.ts'
import { floatRegisters } from '../../support/modbus-bytes.ts'

const LINES = { kind: 'tcp', host: 'h', port: 1 }
const MODBUS = { ...LINES, frame: { kind: 'modbus-rtu' } }
const line = (text: string, at = 0): TriedFrame => ({ kind: 'line', mono_ms: at, text })
const meter = (...channels: object[]) => ({ id: 'm', channels })
const registers = (words: readonly number[], at: number): TriedFrame => ({
  kind: 'registers',
  mono_ms: at,
  table: 'holding',
  start: 16,
  words: [...words],
})

describe('a mapping on trial', () => {
  it('gives the newest value of each channel in the unit that is stored', () => {
    const channels = [
      { channel: 'dissolved-ozone', field: 1, unit: 'ppb' },
      { channel: 'fluid-temperature', field: 2, unit: 'F' },
    ]
    const tried = tryMapping(LINES, meter(...channels), [
      line('x,1000,50'),
      line('x,2500,68', 1000),
      line('x,y'),
    ])
    expect(tried).toMatchObject({
      faults: [],
      read: 2,
      discarded: [{ why: 'wrong-field-count', count: 1 }],
      values: [
        { channel: 'dissolved-ozone', value: 2.5, unit: 'mg/L', quality: 'good' },
        { channel: 'fluid-temperature', unit: '°C', quality: 'good' },
      ],
      doubt: null,
    })
    // 68 °F are 20 °C: (68 − 32) × 5/9, the definition of the unit
    expect(tried.values[1]?.value).toBeCloseTo(20, 9)
  })

  it('tells every fault at once, by key and requirement, and tries nothing', () => {
    const { faults, values } = tryMapping(
      LINES,
      meter({ channel: 'dissolved-ozone', field: 1, unit: 'pint' }, { channel: 'ph', unit: 'pH' }),
      [line('1,2,3')],
    )
    expect(values).toEqual([])
    expect(faults).toHaveLength(2)
    expect(faults[0]).toMatch(/^channels\[0\]\.unit needs one of mg\/L, .* got "pint"$/)
    expect(faults[1]).toMatch(/^channels\[1\]\.field needs either field .* or key/)
  })

  it('says when numbers look like swapped words, and which order would do', () => {
    const channel = { channel: 'dissolved-ozone', register: 16, type: 'float32', order: 'ABCD', unit: 'mg/L' }
    const [high, low] = floatRegisters(23.4)
    const frames = Array.from({ length: 6 }, (_, i) => registers([low, high], i * 1000))
    const tried = tryMapping(MODBUS, { ...meter(channel), address: 7 }, frames)
    expect(tried.doubt).toMatch(/looks like swapped words: .*23\.4 with CDAB/)
    const right = tryMapping(MODBUS, { ...meter({ ...channel, order: 'CDAB' }), address: 7 }, frames)
    expect(right).toMatchObject({ doubt: null, read: 6, values: [{ quality: 'good' }] })
    expect(right.values[0]?.value).toBeCloseTo(23.4, 5)
  })

  it('never turns a meter’s word for no number into a number', () => {
    const tried = tryMapping(LINES, meter({ channel: 'dissolved-ozone', field: 0, unit: 'mg/L' }), [
      line('ERR'),
    ])
    expect(tried.values).toMatchObject([{ value: null, quality: 'fault' }])
  })
})
