import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { oneWay } from '../../../../server/trial/stats/one-way.ts'
import { digits } from '../../fit/certified.ts'

const FILE = new URL('../../../../fixtures/certified/nist_sirstv.csv', import.meta.url)

const sirstv = () => {
  const lines = readFileSync(FILE, 'utf8').split('\n')
  const rows = lines.filter((l) => /^\d/.test(l)).map((l) => l.split(',').map(Number))
  const header = lines.filter((l) => l.startsWith('#')).join(' ')
  return {
    groups: [1, 2, 3, 4, 5].map((i) => rows.filter(([g]) => g === i).map(([, v]) => v ?? Number.NaN)),
    certified: (name: string) => Number(new RegExp(`[ ;]${name}=([\\d.E+-]+)`).exec(header)?.[1]),
  }
}

describe('the one-way analysis of variance', () => {
  it('has ten digits and more of the certified SiRstv set', () => {
    const { groups, certified } = sirstv()
    expect(groups.map((g) => g.length)).toEqual([5, 5, 5, 5, 5])
    const found = oneWay(groups)
    if (!found) throw new Error('nothing found')
    const { ssBetween, ssWithin, msWithin, f } = found
    expect(digits(f, certified('f'))).toBeGreaterThanOrEqual(10)
    expect(digits(ssBetween, certified('ss_between'))).toBeGreaterThanOrEqual(10)
    expect(digits(ssWithin, certified('ss_within'))).toBeGreaterThanOrEqual(10)
    expect(digits(Math.sqrt(msWithin), certified('residual_sd'))).toBeGreaterThanOrEqual(10)
    expect(digits(ssBetween / (ssBetween + ssWithin), certified('r2'))).toBeGreaterThanOrEqual(10)
  })

  it('gives the F and p of the NIST handbook’s example', () => {
    // NIST/SEMATECH e-Handbook 7.4.3 (values from memory, its sums confirm them): SSB 27.8973, SSE 17.4520, F 9.5911, p 0.00325
    const found = oneWay([
      [6.9, 5.4, 5.8, 4.6, 4.0],
      [8.3, 6.8, 7.8, 9.2, 6.5],
      [8.0, 10.5, 8.1, 6.9, 9.3],
    ])
    expect(found?.ssBetween).toBeCloseTo(27.8973, 4)
    expect(found?.ssWithin).toBeCloseTo(17.452, 4)
    expect(found?.f).toBeCloseTo(9.5911, 4)
    expect(found?.p).toBeCloseTo(0.00325, 5)
  })

  it('says nothing of one group, of single values, or where nothing scatters', () => {
    expect(oneWay([[1, 2, 3], []])).toBeUndefined()
    expect(oneWay([[1], [2], [3]])).toBeUndefined()
    expect(
      oneWay([
        [1, 1],
        [2, 2],
      ]),
    ).toBeUndefined()
  })
})
