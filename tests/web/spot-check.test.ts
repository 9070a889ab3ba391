import { describe, expect, it } from 'vitest'
import { differ, spotValue } from '../../web/spot-check.ts'

describe('a reading from a test kit', () => {
  it('is multiplied by the dilution factor', () => {
    expect(spotValue({ read_mg_l: 0.37, dilution: 50, range: null })).toEqual({ kind: 'value', mg_l: 18.5 })
  })

  it('is refused outside the range of the kit, which holds for the diluted sample', () => {
    const range = { low: 0.05, high: 0.5 }
    expect(spotValue({ read_mg_l: 0.51, dilution: 50, range }).kind).toBe('refused')
    expect(spotValue({ read_mg_l: 0.04, dilution: 50, range }).kind).toBe('refused')
    expect(spotValue({ read_mg_l: 0.5, dilution: 50, range }).kind).toBe('value')
  })

  it('is refused without a number or with a factor below one', () => {
    expect(spotValue({ read_mg_l: Number.NaN, dilution: 1, range: null }).kind).toBe('refused')
    expect(spotValue({ read_mg_l: -1, dilution: 1, range: null }).kind).toBe('refused')
    expect(spotValue({ read_mg_l: 1, dilution: 0.5, range: null }).kind).toBe('refused')
    expect(spotValue({ read_mg_l: 1, dilution: Number.NaN, range: null }).kind).toBe('refused')
  })

  it('differs from a second one by their distance over their mean', () => {
    expect(differ(19, 21)).toBeCloseTo(0.1, 12)
    expect(differ(0, 0)).toBe(0)
    expect(differ(0, 3)).toBe(2)
  })
})
