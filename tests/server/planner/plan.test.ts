import { describe, expect, it } from 'vitest'
import { expectation } from '../../../server/model/expectation.ts'
import type { PlanBand } from '../../../server/planner/band.ts'
import { planOf } from '../../../server/planner/plan.ts'
import type { PlanInput } from '../../../server/planner/plan-input.ts'
import { waysToTarget } from '../../../server/planner/ways.ts'
import type { BatchSummary } from '../../../server/wire.ts'
import { liveBench } from '../../support/live-bench.ts'

const COLD: PlanInput = {
  fluid: 'saline',
  volumeMl: 250,
  gas: { ugPerMl: 60, reference: 'normal-0c-101kpa' },
  flowMlPerMin: 500,
  temperatureC: 7,
  targetMgPerL: 15,
  prepMin: 7,
  purgeMin: 0.5,
  purge: 'tube-lifted-clear',
  roomM3: 40,
}

const wide = ({ low, high }: PlanBand): boolean => low !== null && high !== null && low < high

describe('a plan by physics', () => {
  it('has the plateau, t95 and half-life of the expectation', () => {
    const { bands } = planOf(COLD, []).physics
    const expected = expectation(COLD)
    for (const key of ['plateau_mg_l', 't95_min', 'half_life_min'] as const) {
      expect(bands[key]?.low).toBeCloseTo(expected[key].low, 6)
      expect(bands[key]?.high).toBeCloseTo(expected[key].high, 6)
    }
  })

  it('holds at the plateau what saline at 20 °C takes of 50 µg/NmL', () => {
    const { plateau_mg_l } = planOf(
      { ...COLD, temperatureC: 20, gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' } },
      [],
    ).physics.bands
    // 12.4 mg/L at equilibrium: S of Sander, Atmos. Chem. Phys. 23, 10901 (2023), salt of Kosak-Channing & Helz (1983)
    expect(plateau_mg_l?.low).toBeLessThan(12.4)
    expect(plateau_mg_l?.high).toBeGreaterThan(12.4)
    // all published correlations but one stay within 10.5 to 16.2 for water
    expect(plateau_mg_l?.high).toBeLessThan(16.2)
  })

  it('is a band in every line, never one number', () => {
    for (const [name, band] of Object.entries(planOf(COLD, []).physics.bands))
      expect(wide(band), `${name} ${JSON.stringify(band)}`).toBe(true)
  })

  it('is early about the minutes above the target for cold fluid in a warm room', () => {
    const minutes = (roomC: number) => planOf({ ...COLD, roomC }, []).physics.bands.above_target_min
    expect(minutes(30)?.high).toBe(minutes(7)?.high)
    expect(minutes(30)?.low ?? 0).toBeLessThan(minutes(7)?.low ?? 0)
    expect(minutes(30)?.low).toBeGreaterThan(0)
  })

  it('says nothing of a target, a room or a prep time that was not typed', () => {
    const { targetMgPerL: _t, roomM3: _r, prepMin: _p, ...bare } = COLD
    const { physics, notes, ways } = planOf(bare, [])
    expect(physics.bands).not.toHaveProperty('above_target_min')
    expect(physics.bands).not.toHaveProperty('reaches_target_min')
    expect(physics.bands).not.toHaveProperty('vented_ppm')
    expect(ways).toEqual([])
    expect(notes.join()).toMatch(/no prep time.*no target.*room volume not given/)
  })

  it('says "never" of a target over the whole band', () => {
    const { reaches_target_min, above_target_min } = planOf({ ...COLD, targetMgPerL: 60 }, []).physics.bands
    expect(reaches_target_min).toEqual({ low: null, high: null })
    expect(above_target_min).toEqual({ low: 0, high: 0 })
  })
})

describe('ways to the target', () => {
  const wanted = { ...COLD, temperatureC: 20, targetMgPerL: 18 }
  const level = (plan: PlanInput) => planOf(plan, []).physics.bands.flow_off_mg_l ?? { low: null, high: null }
  const way = (change: string, plan: PlanInput = wanted) =>
    waysToTarget(plan).find((w) => w.change === change)

  it('name where on the target may be and where on it is reached by all of the band', () => {
    const gas = way('stronger-gas')
    const withGas = (ugPerMl: number) => level({ ...wanted, gas: { ...wanted.gas, ugPerMl } })
    expect(withGas(gas?.may_from ?? 0).high).toBeGreaterThanOrEqual(18)
    expect(withGas((gas?.may_from ?? 0) - 1).high).toBeLessThan(18)
    expect(withGas(gas?.all_from ?? 0).low).toBeGreaterThanOrEqual(18)
    expect(withGas((gas?.all_from ?? 0) - 1).low).toBeLessThan(18)
    expect(gas?.gives_mg_l).toEqual(withGas(gas?.all_from ?? 0))
  })

  it('cool no further than 2 °C and say when that is not enough', () => {
    const cool = way('cooler-fluid', { ...wanted, targetMgPerL: 40 })
    expect(cool).toMatchObject({ now: 20, limit: 2, may_from: null, all_from: null })
    expect(cool?.gives_mg_l).toEqual(level({ ...wanted, targetMgPerL: 40, temperatureC: 2 }))
  })

  it('bubble longer only as far as the plateau helps', () => {
    const low = { ...COLD, prepMin: 1, targetMgPerL: 15 }
    const long = way('longer-bubbling', low)
    expect(long?.all_from).toBeGreaterThan(1)
    expect(level({ ...low, prepMin: long?.all_from ?? 0 }).low).toBeGreaterThanOrEqual(15)
    expect(way('longer-bubbling', { ...wanted, targetMgPerL: 40 })?.may_from).toBeNull()
  })

  it('count the purge where it goes through the fluid', () => {
    const through = { ...COLD, purge: 'through-the-fluid', purgeMin: 1 } as const
    expect(way('purge-past-the-fluid', through)?.gives_mg_l).toEqual(
      level({ ...through, purge: 'tube-lifted-clear' }),
    )
    expect(way('purge-past-the-fluid')).toBeUndefined()
  })

  it('are none when the whole band is there already', () => {
    expect(waysToTarget({ ...COLD, targetMgPerL: 5 })).toEqual([])
  })
})

describe('a plan by the clinic’s own batches', () => {
  const exactly = (value: number) => ({ value, low: value, high: value, bound: null, why: null })
  const { batch: head } = liveBench()
  const past = (plateau: number, more: Partial<BatchSummary> = {}): BatchSummary => {
    if (head === null) throw new Error('the bench of the tests has a batch')
    return {
      head,
      plateau_mg_l: exactly(plateau),
      t95_min: exactly(5),
      half_life_min: exactly(60),
      half_life_20c_min: exactly(30),
      mean_temperature_c: 7,
      measured_against: ['indigo'],
      ...more,
    }
  }

  it('is a band about what they came to, in proportion to the gas', () => {
    const batches = [19, 20, 21].map((p) => past(p))
    const { bands, basis } = planOf(COLD, batches).own_batches
    // mean of the logarithms ln 19.98, spread 0.0501, t(0.975; 2) 4.303: reach 4.303·0.0501·√(1 + 1/3) = 0.2489
    expect(bands.plateau_mg_l?.low).toBeCloseTo(15.58, 1)
    expect(bands.plateau_mg_l?.high).toBeCloseTo(25.63, 1)
    const half = planOf({ ...COLD, gas: { ...COLD.gas, ugPerMl: 30 } }, batches).own_batches.bands
    expect(half.plateau_mg_l?.high).toBeCloseTo((bands.plateau_mg_l?.high ?? 0) / 2, 6)
    expect(basis[0]).toContain('3 finished batches of this fluid within 3 °C')
    expect(bands.above_target_min?.high).toBeGreaterThan(0)
  })

  it('carries a plateau over two degrees by the solubility', () => {
    const warmer = [20, 20.5, 21].map((p) => past(p, { mean_temperature_c: 9 }))
    const same = [20, 20.5, 21].map((p) => past(p))
    const high = (batches: BatchSummary[]) => planOf(COLD, batches).own_batches.bands.plateau_mg_l?.high ?? 0
    // µg/mL in saline per µg/NmL of gas: 0.4299 at 5 °C, 0.3562 at 10 °C (solubility of Sander (2023), salt of
    // Kosak-Channing & Helz (1983)), so (0.4299/0.3562)^(2/5) = 1.078 from 9 to 7 °C
    expect(high(warmer) / high(same)).toBeCloseTo(1.078, 2)
  })

  it('leaves out what two batches cannot tell, warmer ones, and those against another reference', () => {
    const two = planOf(COLD, [past(20), past(21)]).own_batches
    expect(two.bands).toEqual({})
    expect(two.basis[0]).toContain('2 finished batches')
    expect(two.basis[0]).toContain('too few')
    const mixed = [
      past(20),
      past(20.5),
      past(21),
      past(30, { measured_against: ['uv, ε 3000'] }),
      past(12, { mean_temperature_c: 20 }),
    ]
    const { bands, basis } = planOf(COLD, mixed).own_batches
    expect(bands.plateau_mg_l?.high).toBeLessThan(24)
    expect(basis[0]).toContain('1 measured against another reference left out')
  })

  it('goes by the temperature of the bubbling where that is known, not by that of the whole batch', () => {
    const warmed = [20, 20.5, 21].map((p) => past(p, { mean_temperature_c: 12, bubbling_temperature_c: 7 }))
    expect(planOf(COLD, warmed).own_batches.bands.plateau_mg_l).toBeDefined()
    const cold = [20, 20.5, 21].map((p) => past(p, { mean_temperature_c: 7, bubbling_temperature_c: 2 }))
    expect(planOf(COLD, cold).own_batches.bands.plateau_mg_l).toBeUndefined()
  })

  it('takes t95 only from batches of like volume and flow', () => {
    const slow = [5, 5.2, 5.4].map((t) => past(20, { t95_min: exactly(t) }))
    expect(planOf(COLD, slow).own_batches.bands.t95_min).toBeDefined()
    expect(planOf({ ...COLD, volumeMl: 500 }, slow).own_batches.bands.t95_min).toBeUndefined()
  })

  it('carries half-lives from 20 °C to the planned temperature', () => {
    const { half_life_min } = planOf(
      COLD,
      [1, 2, 3].map(() => past(20)),
    ).own_batches.bands
    // 30 min at 20 °C: at 7 °C by Arrhenius exp(E/R·(1/280.15 − 1/293.15)): 70.7 at 45 kJ/mol, 137.7 at 80
    expect(half_life_min?.low).toBeCloseTo(70.7, 0)
    expect(half_life_min?.high).toBeCloseTo(137.7, 0)
  })
})
