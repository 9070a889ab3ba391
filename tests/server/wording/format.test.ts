import { describe, expect, it } from 'vitest'
import {
  ago,
  band,
  bytes,
  concentration,
  decimal,
  duration,
  justNow,
  millilitres,
  roughly,
  signed,
  withU,
} from '../../../server/wording/format.ts'

/** The screens keep a number and its unit together; the tests read it as a plain space. */
const plain = (text: string): string => text.replaceAll('\u00a0', ' ')

describe('numbers', () => {
  it('show an uncertainty in as many decimals as it needs, and a difference with its sign', () => {
    expect([withU(13.22, 0.41), withU(1.501, 0.024), withU(1.5011, 0.0012)]).toEqual([
      '13.2 ± 0.4',
      '1.50 ± 0.02',
      '1.501 ± 0.001',
    ])
    expect([signed(0.15, 2), signed(-4.2, 1), signed(0, 1)]).toEqual(['+0.15', '−4.2', '0.0'])
  })

  it('shows a dash where there is no number, and never a zero', () => {
    expect([null, undefined, Number.NaN, Number.POSITIVE_INFINITY].map((v) => concentration(v))).toEqual([
      '–',
      '–',
      '–',
      '–',
    ])
    expect(concentration(0)).toBe('0.0')
  })

  it('shows one decimal of a concentration and a true minus sign', () => {
    expect(concentration(18.249)).toBe('18.2')
    expect(concentration(-0.26)).toBe('\u22120.3')
  })

  it('does not show a minus sign before a zero', () => {
    expect(decimal(-0.04, 1)).toBe('0.0')
  })

  it('gives no band when one end is missing', () => {
    expect(band(17.6, 18.8)).toBe('17.6 to 18.8')
    expect(band(null, 18.8)).toBeNull()
    expect(band(17.6, null)).toBeNull()
  })

  it('shows a volume without empty decimals', () => {
    expect([5, 0.35, 229.999].map((ml) => plain(millilitres(ml)))).toEqual(['5 mL', '0.35 mL', '230 mL'])
  })
})

describe('lengths of time', () => {
  it('is written so that it cannot be taken for a time of day', () => {
    expect([0, 59.9, 60, 725, 3600, 3905].map((s) => plain(duration(s)))).toEqual([
      '0 s',
      '59 s',
      '1 min 00 s',
      '12 min 05 s',
      '1 h 00 min',
      '1 h 05 min',
    ])
  })

  it('counts a time that has passed as none left', () => {
    expect(plain(duration(-5))).toBe('0 s')
  })

  it('gets coarser with age', () => {
    expect([4, 240, 7500, 259_200].map((s) => plain(roughly(s)))).toEqual([
      '4 s',
      '4 min',
      '2 h 05 min',
      '3 days',
    ])
    expect(plain(ago(240))).toBe('4 min ago')
  })

  it('does not flicker between nought and one second', () => {
    expect([0.2, 1.9, 2.1].map((s) => plain(justNow(s)))).toEqual(['just now', 'just now', '2 s ago'])
  })
})

describe('sizes of files', () => {
  it('go up in thousands, with one decimal from a thousand bytes on', () => {
    expect([0, 999, 1000, 81_300_000, 252e9, 5e15].map((n) => plain(bytes(n)))).toEqual([
      '0 bytes',
      '999 bytes',
      '1.0 kB',
      '81.3 MB',
      '252.0 GB',
      '5000.0 TB',
    ])
  })
})
