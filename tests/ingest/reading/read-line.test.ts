import { RE2JS } from 're2js'
import { describe, expect, it } from 'vitest'
import { type LineChannel, type LineMap, readLine } from '../../../ingest/reading/read-line.ts'

const channel = (field: number | string, name: LineChannel['channel'] = 'dissolved-ozone'): LineChannel => ({
  channel: name,
  field,
  unit: 'mg/L',
  convert: (sent) => sent,
  limits: { range: [-2, 300] },
})
const map = (part: Partial<LineMap>): LineMap => ({
  instrument: 'm',
  bench: 'A',
  separator: ',',
  channels: [channel(0)],
  ...part,
})
const read = (text: string, part: Partial<LineMap>) => {
  const result = readLine(text, map(part))
  return result.ok
    ? result.values.map((v) => (v.sent.kind === 'none' ? 'none' : [v.sent.kind, v.sent.raw]))
    : result.why
}

describe('a line of keys and numbers', () => {
  const keyed: Partial<LineMap> = {
    separator: ';',
    channels: [channel('O3'), channel('T', 'fluid-temperature')],
  }

  it('is read by its keys, in any order, with keys nobody wants between', () => {
    expect(read('T=5.1; N=12; O3 = 23.40', keyed)).toEqual([
      ['number', 23.4],
      ['number', 5.1],
    ])
  })

  it('may have another sign than =', () => {
    expect(read('O3:23.4;T:5.1', { ...keyed, equals: ':' })).toEqual([
      ['number', 23.4],
      ['number', 5.1],
    ])
  })

  it.each([
    ['O3=23.4', 'missing-key'],
    ['O3=23.4;T=5.1;O3=1', 'repeated-key'],
    ['N=12', 'unexpected-line'],
    ['O3=23.4;T=5.1.', 'unreadable-number'],
    ['O3=23.4;T', 'missing-key'],
  ])('that is not whole is discarded: %s', (text, why) => {
    expect(read(text, keyed)).toBe(why)
  })

  it('with nothing behind a key has no number there, which is a fault and not 0', () => {
    expect(read('O3=;T=5.1', keyed)).toEqual(['none', ['number', 5.1]])
  })
})

describe('a line read by a pattern', () => {
  const byPattern: Partial<LineMap> = {
    pattern: RE2JS.compile(String.raw`O3 (?P<o3>\S+) ug/ml at (?P<t>\S+) C`),
    channels: [channel('o3'), channel('t', 'fluid-temperature')],
  }

  it('gives the numbers of its named groups', () => {
    expect(read('O3 23.40 ug/ml at 5.12 C', byPattern)).toEqual([
      ['number', 23.4],
      ['number', 5.12],
    ])
  })

  it('must match as a whole: a line cut short at any place is not read', () => {
    const whole = 'O3 23.40 ug/ml at 5.12 C'
    for (let cut = 0; cut < whole.length; cut++) {
      expect(read(whole.slice(0, cut), byPattern)).toBe('unexpected-line')
      if (cut > 0) expect(read(whole.slice(cut), byPattern)).toBe('unexpected-line')
    }
  })

  it('is linear in time for a pattern that takes others for ever', () => {
    const hostile: Partial<LineMap> = { pattern: RE2JS.compile('(?P<o3>(1+)+)x'), channels: [channel('o3')] }
    const start = performance.now()
    expect(read('1'.repeat(4000), hostile)).toBe('unexpected-line')
    // backtracking would need 2^4000 steps; the limit only has to tell the two apart
    expect(performance.now() - start).toBeLessThan(2000)
  })
})

describe('a number as meters write it', () => {
  it.each([
    ['23,4', 23.4],
    ['-0,25', -0.25],
    ['5', 5],
    ['1,5e2', 150],
  ])('with a decimal comma is read: %s', (text, raw) => {
    expect(read(text, { separator: ';', decimal: 'comma' })).toEqual([['number', raw]])
  })

  it.each(['23.4', '1.234,5', '1,234,5'])(
    'with a decimal comma is not guessed when it has a point or two commas: %s',
    (text) => {
      expect(read(text, { separator: ';', decimal: 'comma' })).toBe('unreadable-number')
    },
  )

  it.each([
    ['>20', ['at-least', 20]],
    ['>= 20.0', ['at-least', 20]],
    ['<0.05', ['less-than', 0.05]],
    ['< 0.05', ['less-than', 0.05]],
  ])('with a mark is a bound: %s', (text, sent) => {
    expect(read(text, {})).toEqual([sent])
  })

  it.each(['<', '>', '<<1', '>x'])('with a mark and no number is unreadable: %s', (text) => {
    expect(read(text, {})).toBe('unreadable-number')
  })
})
