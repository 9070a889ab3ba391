import { describe, expect, it } from 'vitest'
import { celsius } from '../../../ingest/units.ts'
import { hydroxideHalfLife, ionicProduct } from '../../../server/model/hydroxide.ts'

describe('ozone and hydroxide', () => {
  it.each([
    // CRC Handbook of Chemistry and Physics, ionic product of water: from memory
    [0, 14.95],
    [25, 13.995],
    [40, 13.535],
  ])('knows the ionic product of water at %d °C', (t, pKw) => {
    expect(Math.abs(ionicProduct(celsius(t)) - pKw)).toBeLessThan(0.02)
  })

  it.each([
    // ln 2/(70·[OH-]) and a third of it: k of Staehelin & Hoigné, Environ. Sci. Technol. 16, 676 (1982), 25 °C, pKw 14
    [7, 27.5, 9.2],
    [8, 2.75, 0.92],
    [9, 0.275, 0.092],
  ])('lets ozone last at pH %d for the hours the published constant gives', (ph, hours, fast) => {
    const found = hydroxideHalfLife(ph, celsius(25))
    expect(found.central / 60 / hours).toBeGreaterThan(0.97)
    expect(found.central / 60 / hours).toBeLessThan(1.03)
    expect(found.low / 60 / fast).toBeGreaterThan(0.97)
    expect(found.low / 60 / fast).toBeLessThan(1.03)
    expect(found.high).toBeGreaterThan(found.central)
  })
})
