import { describe, expect, it } from 'vitest'
import { celsius } from '../../../ingest/units.ts'
import { salineFactor, sechenovIonModel, sechenovMeasured } from '../../../server/model/salting-out.ts'
import { coreSolubility, wideSolubility } from '../../../server/model/solubility.ts'
import { kosakChanningHelz, sander, solubilitySources } from '../../../server/model/solubility-sources.ts'
import { waterDensity, waterVapourPressure } from '../../../server/model/water.ts'

const ratioOf = (id: string, t: number): number => {
  const source = solubilitySources.find((s) => s.id === id)
  if (source === undefined) throw new Error(`no source ${id}`)
  return source.ratio(celsius(t))
}

/** Computed independently with numpy from the published equations, S at 0, 5, 10, 15, 20, 25, 30, 37 °C. */
const table: Record<string, readonly number[]> = {
  SAN: [0.536, 0.454, 0.387, 0.332, 0.286, 0.248, 0.216, 0.179],
  KCH: [0.511, 0.448, 0.394, 0.348, 0.309, 0.276, 0.247, 0.213],
  'RS pH 7': [0.445, 0.38, 0.326, 0.282, 0.244, 0.213, 0.187, 0.156],
  'RS pH 5.5': [0.502, 0.429, 0.368, 0.318, 0.276, 0.24, 0.211, 0.176],
  RSS: [0.499, 0.429, 0.37, 0.321, 0.28, 0.245, 0.216, 0.182],
  MOR: [0.562, 0.484, 0.417, 0.359, 0.309, 0.266, 0.229, 0.186],
  IUP: [0.526, 0.47, 0.423, 0.381, 0.345, 0.313, 0.285, 0.251],
  BIN: [0.537, 0.429, 0.345, 0.28, 0.229, 0.188, 0.156, 0.121],
  RJP: [0.529, 0.452, 0.388, 0.334, 0.29, 0.253, 0.221, 0.185],
  'LAN fit': [0.638, 0.514, 0.415, 0.335, 0.27, 0.218, 0.176, 0.13],
  Andreozzi: [0.464, 0.398, 0.344, 0.298, 0.26, 0.228, 0.201, 0.169],
  Sotelo: [0.419, 0.389, 0.362, 0.338, 0.317, 0.297, 0.28, 0.258],
  Wilhelm: [0.546, 0.487, 0.437, 0.393, 0.355, 0.322, 0.293, 0.259],
  Warneck: [0.522, 0.454, 0.397, 0.348, 0.308, 0.273, 0.243, 0.208],
}
const temperatures = [0, 5, 10, 15, 20, 25, 30, 37]

describe('solubility of ozone', () => {
  it.each(Object.entries(table))('follows %s to the printed digits from 0 to 37 °C', (id, expected) => {
    expect(temperatures.map((t) => ratioOf(id, t).toFixed(3))).toEqual(expected.map((s) => s.toFixed(3)))
  })

  it('lists no source without a check row', () => {
    expect(solubilitySources.map((s) => s.id).sort()).toEqual(Object.keys(table).sort())
  })

  it('lists no source twice', () => {
    expect(new Set(solubilitySources.map((s) => s.source)).size).toBe(solubilitySources.length)
  })

  it('follows the ionic-strength term for 0.154 mol/L', () => {
    const expected = [0.5, 0.435, 0.38, 0.334, 0.295, 0.261, 0.233, 0.199]
    expect(temperatures.map((t) => kosakChanningHelz(0.154)(celsius(t)).toFixed(3))).toEqual(
      expected.map((s) => s.toFixed(3)),
    )
  })

  it('spans 0.276 to 0.309 at 20 °C over the core sources and 0.229 to 0.345 over all', () => {
    const core = coreSolubility(celsius(20))
    const wide = wideSolubility(celsius(20))
    expect([core.low.toFixed(3), core.high.toFixed(3)]).toEqual(['0.276', '0.309'])
    expect([wide.low.toFixed(3), wide.high.toFixed(3)]).toEqual(['0.229', '0.345'])
    expect(core.central).toBe(sander.ratio(celsius(20)))
  })
})

describe('salting-out by 0.9 % saline', () => {
  /** t, Sechenov constants of both routes, factors of both routes; computed independently with numpy. */
  it.each([
    [0, 0.0609, 0.0645, 0.979],
    [5, 0.0806, 0.0824, 0.972],
    [20, 0.1355, 0.1361, 0.953],
    [25, 0.1526, 0.154, 0.947],
    [37, 0.1914, 0.197, 0.934],
  ])('agrees between the measured and the ion-model constant at %d °C', (t, measured, ion, factor) => {
    expect(sechenovMeasured(celsius(t))).toBeCloseTo(measured, 4)
    expect(sechenovIonModel(celsius(t))).toBeCloseTo(ion, 4)
    expect(salineFactor(celsius(t)).central).toBeCloseTo(factor, 3)
  })

  it('never goes below a tenth of the value, the lowest published result', () => {
    expect(salineFactor(celsius(20)).low).toBe(0.9)
  })
})

describe('water', () => {
  it('has the vapour pressure of the steam tables at 20 and 37 °C', () => {
    // 2.339 kPa at 20 °C, 6.28 kPa at 37 °C: steam tables, from memory
    expect(waterVapourPressure(celsius(20))).toBeCloseTo(2.339, 1)
    expect(waterVapourPressure(celsius(37))).toBeCloseTo(6.28, 1)
  })

  it('has the density of the standard tables', () => {
    // 999.972 at 4 °C, 998.204 at 20 °C, 997.047 at 25 °C kg/m³: CIPM tables, from memory
    expect(waterDensity(celsius(4))).toBeCloseTo(999.972, 2)
    expect(waterDensity(celsius(20))).toBeCloseTo(998.204, 2)
    expect(waterDensity(celsius(25))).toBeCloseTo(997.047, 2)
  })
})
