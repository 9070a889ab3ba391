import { describe, expect, it } from 'vitest'
import type { TapEvent } from '../../../server/wire.ts'
import { adviceOf } from '../../../web/set-up/advice.ts'
import { type Heard, hear, NOTHING_HEARD, shownHex, shownText } from '../../../web/set-up/heard.ts'
import { fieldsOf, floatsOf, guessOf } from '../../../web/set-up/line-fields.ts'
import { faultWords } from '../../../web/set-up/words.ts'

const OPEN: TapEvent = { kind: 'state', state: 'open', why: null }
const bytes = (text: string): TapEvent => ({
  kind: 'bytes',
  at_ms: 0,
  way: 'from-meter',
  hex: Buffer.from(text, 'latin1').toString('hex'),
})
const line = (text: string): TapEvent => ({ kind: 'line', at_ms: 0, mono_ms: 0, text, values: [], why: null })
const heardOf = (...events: TapEvent[]): Heard => hear(NOTHING_HEARD, events)

describe('what was heard', () => {
  it('keeps the newest of a flood and counts all of it', () => {
    const flood = Array.from({ length: 500 }, (_, i) => line(String(i)))
    const heard = heardOf(...flood, { kind: 'lost', frames: 3, bytes: 4 })
    expect(heard.frames.length).toBe(40)
    expect(heard.frames.at(-1)).toMatchObject({ text: '499' })
    expect(heard.counts).toMatchObject({ frames: 500, lost: 7 })
  })

  it('counts discards by reason, with the newest sample', () => {
    const discard = (sample: string): TapEvent => ({
      kind: 'discarded',
      at_ms: 0,
      why: 'torn',
      bytes: 1,
      sample,
    })
    expect(heardOf(discard('a'), discard('b')).discards).toEqual([{ why: 'torn', count: 2, sample: 'b' }])
  })

  it('shows bytes with names for line ends and dots for the rest', () => {
    expect(shownText('41090d0aff')).toBe('A[TAB][CR][LF]·')
    expect(shownHex('41090d')).toBe('41 09 0d')
  })
})

describe('advice', () => {
  it.each([
    [
      'the reason of the port',
      heardOf({ kind: 'state', state: 'waiting', why: 'join the group dialout' }),
      1,
      /dialout/,
    ],
    ['nothing while it is early', heardOf(OPEN), 1, null],
    ['power and cable when nothing comes', heardOf(OPEN), 6, /Nothing arrives/],
    [
      'speed and parity when it is no text',
      heardOf(OPEN, bytes('\x80\xfe\x00'.repeat(20))),
      6,
      /another speed/,
    ],
    ['the line end when text has none', heardOf(OPEN, bytes('12.3 '.repeat(20))), 6, /other line end/],
    ['nothing when lines come', heardOf(OPEN, bytes('12.3\n'), line('12.3')), 60, null],
    [
      'the reason when lines come that cannot be used',
      heardOf(OPEN, bytes('12.3\n'.repeat(20)), {
        kind: 'discarded',
        at_ms: 0,
        why: 'checksum-missing',
        bytes: 4,
        sample: '',
      }),
      6,
      /without the check sum/,
    ],
  ] as const)('is %s', (_, heard, forS, words) => {
    const advice = adviceOf(heard, forS, 'line', false)
    if (words === null) expect(advice).toBeNull()
    else expect(advice).toMatch(words)
  })
})

describe('fields of a line', () => {
  it('are found by position and by name', () => {
    expect(fieldsOf('$SPGW,000123,23.40,C', ',', '=').map((f) => [f.by, f.place, f.isNumber])).toEqual([
      ['field', '0', false],
      ['field', '1', true],
      ['field', '2', true],
      ['field', '3', false],
    ])
    expect(fieldsOf('T=5,1; O3 = 23,4', ';', '=')).toMatchObject([
      { by: 'key', place: 'T', text: '5,1', isNumber: true },
      { by: 'key', place: 'O3', text: '23,4' },
    ])
  })

  it('are guessed from what all lines have in common', () => {
    expect(guessOf(['SPGW,1,2.5', 'SPGW,2,2.6'])).toEqual({
      separator: ',',
      decimal: 'point',
      starts_with: 'SPGW',
      field_count: '3',
    })
    expect(guessOf(['O3=1,5;T=20,1', 'O3=1,6;T=20,2'])).toMatchObject({ separator: ';', decimal: 'comma' })
    expect(guessOf(['1.5 20', '1.6 20 x'])).toMatchObject({
      separator: ' ',
      starts_with: '',
      field_count: '',
    })
    expect(guessOf(['one line only,1']).starts_with, 'one line shows nothing in common').toBe('')
    expect(guessOf([])).toMatchObject({ field_count: '' })
  })

  it('two registers are shown as a float in each order', () => {
    // 23.4 is 41BB3333 (Python: struct.pack('>f', 23.4).hex())
    const floats = new Map(floatsOf([0x3333, 0x41bb], 0))
    expect(floats.get('CDAB')).toBeCloseTo(23.4, 5)
    expect(floatsOf([1], 0)).toEqual([])
  })
})

describe('faults', () => {
  it('are told by the name that the field has on screen', () => {
    expect(faultWords('instruments[1].bench (line 20) needs one of the benches: A, B, got ""')).toBe(
      'bench: needs one of the benches: A, B, nothing so far',
    )
    expect(faultWords('instruments[0].channels[1].unit (line 3) needs one of pH, got "C"')).toBe(
      'quantity 2, unit needs one of pH, got "C"',
    )
    expect(faultWords('ports.meter.baud needs number, got "x"')).toBe('port, baud needs number, got "x"')
  })
})
