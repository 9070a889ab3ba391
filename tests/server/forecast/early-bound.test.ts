import { describe, expect, it } from 'vitest'
import { countForecasts, hardCases, steadyCases } from '../../bench/forecast-table.ts'

const REPLICATES = 24

const named = (cases: typeof steadyCases, name: string) => {
  const found = cases.find((c) => c.name === name)
  if (found === undefined) throw new Error(name)
  return found
}

/** 24 batches seen with up to four targets, which go together: fewer than 83 % where 95 % is true is 1 in 100. */
const LEAST_BEFORE = 0.83

describe('the early bound', () => {
  it.each(['20 min, white', '30 min, AR(1) 20 s', '60 min, mixed'])(
    'comes before the crossing and is not much earlier than need be: %s',
    (name) => {
      const { looks, neverLate } = countForecasts(named(steadyCases, name), REPLICATES)
      for (const l of looks.filter((l) => l.given > 0))
        expect(l.before / l.given).toBeGreaterThanOrEqual(LEAST_BEFORE)
      expect(neverLate / REPLICATES).toBeGreaterThanOrEqual(0.85)
      const settled = looks.filter((l) => l.look >= 5 && l.given === l.looks)
      expect(settled.length).toBeGreaterThan(0)
      for (const l of settled) expect(l.overOracle).toBeLessThan(1.6)
    },
  )

  it('stands at flow-off already, by the clinic’s own batches or by the physics', () => {
    for (const basis of ['own batches', 'physics band']) {
      const { looks } = countForecasts(named(steadyCases, `30 min, ${basis}`), 6)
      const first = looks[0]
      expect(first).toMatchObject({ look: 0, fromReadings: 0 })
      expect(first?.given).toBe(first?.looks)
      expect(first?.before).toBe(first?.given)
    }
  })

  it.each([
    '5 to 22 °C in 20 min, order 1, 78 kJ/mol',
    '5 to 22 °C in 40 min, order 2, 65 kJ/mol',
    'drawn up at 10 min, value steps by -5 %',
  ])('is not late where a first-order forecast would be: %s', (name) => {
    const { looks, neverLate } = countForecasts(named(hardCases, name), REPLICATES)
    for (const l of looks.filter((l) => l.given > 0))
      expect(l.before / l.given).toBeGreaterThanOrEqual(LEAST_BEFORE)
    expect(neverLate / REPLICATES).toBeGreaterThanOrEqual(0.85)
  })
})
