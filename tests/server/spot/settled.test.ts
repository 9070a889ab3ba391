import { describe, expect, it } from 'vitest'
import { type SpotState, spotState, windowS } from '../../../server/spot/settled.ts'
import type { NoiseRecipe } from '../fit/random.ts'
import { countDips, type Dip, fluidAt, known, lookAt, readings, START, STEP, wait } from './dips.ts'

describe('whether the value of a dipped probe has settled', () => {
  it('waits five response times and one window, and says how long that still is', () => {
    const dip: Dip = { tauS: 9, known: known(9) }
    expect(lookAt(dip, 1, 20)).toEqual({ kind: 'settling', leftS: 45 + 30 - 20, changing: false })
    const { state, atS } = wait(dip, 1)
    expect(state.kind).toBe('settled')
    expect(atS).toBeGreaterThanOrEqual(75)
    expect(atS).toBeLessThanOrEqual(77)
  })

  it('counts from where the readings show the dip when the tap came first', () => {
    const dip: Dip = { tauS: 4, known: known(4) }
    const { timesS, values } = readings(dip, 90, 3)
    // forty seconds in air, then the same dip
    const late = Float64Array.from([...new Float64Array(40), ...values.subarray(0, 50)])
    const look = (nowS: number) =>
      spotState({
        timesS: timesS.subarray(0, nowS),
        values: late.subarray(0, nowS),
        clipped: new Uint8Array(nowS),
        nowS,
        intervalS: 1,
        resolution: STEP,
        lag: known(4),
      })
    // five response times and a window after the tap are over, after the dip they are not
    for (const nowS of [52, 60, 75, 84, 86, 88]) expect(look(nowS).kind, `${nowS} s`).toBe('settling')
    expect(look(90)).toMatchObject({ kind: 'settled', value: expect.closeTo(START, 1) })
  })

  it('with a response time that is not known waits for the slope, however long that takes', () => {
    const quick = wait({ tauS: 5 }, 2)
    const slow = wait({ tauS: 30 }, 2)
    expect(quick.state.kind).toBe('settled')
    expect(slow.state.kind).toBe('settled')
    expect(quick.atS).toBeLessThan(85)
    expect(slow.atS).toBeGreaterThan(110)
  })

  it('takes no falling fluid for an unsettled probe, and dates the value to the fluid it belongs to', () => {
    const dip: Dip = { tauS: 9, known: known(9), halfLifeMin: 6 }
    const { state } = wait(dip, 5)
    if (state.kind !== 'settled') throw new Error(state.kind)
    expect(Math.abs(state.value - fluidAt(state.atS, dip))).toBeLessThan(0.1)
    // a probe 9 s behind: dated to the middle of its window it would be 1.7 % too high
    expect(state.window.midS - state.atS).toBeCloseTo(9, 6)
  })

  it('says that it drifts after the time-out, how fast, and goes on when asked to keep waiting', () => {
    const dip: Dip = { tauS: 9, known: known(9), halfLifeMin: 1.5 }
    const { state, atS } = wait(dip, 7)
    expect(state).toMatchObject({ kind: 'refused', why: 'drifting', windowS: 30 })
    expect(state.kind === 'refused' && (state.percent ?? 0)).toBeLessThan(-15)
    expect(atS).toBeGreaterThanOrEqual(180)
    expect(lookAt(dip, 7, 185, { patience: 2 })).toMatchObject({ kind: 'settling', changing: true })
  })

  it('refuses a meter that is silent, clipped or without numbers, each by its name', () => {
    const dip: Dip = { tauS: 9, known: known(9) }
    expect(lookAt(dip, 1, 90, { nowS: 99 })).toEqual({ kind: 'refused', why: 'silent' })
    expect(spotStateWithout(30)).toEqual({ kind: 'refused', why: 'silent' })
    const clipped = new Uint8Array(90).fill(1, 85)
    expect(lookAt(dip, 1, 90, { clipped })).toEqual({ kind: 'refused', why: 'clipped' })
    const values = new Float64Array(90).fill(Number.NaN, 50)
    expect(lookAt(dip, 1, 90, { values })).toMatchObject({ kind: 'settling', changing: true })
    const gone = { values: new Float64Array(200).fill(Number.NaN) }
    expect(lookAt(dip, 1, 200, gone)).toEqual({ kind: 'refused', why: 'faulty' })
  })

  it('takes one spike for a spike', () => {
    const dip: Dip = { tauS: 9, known: known(9) }
    const { values } = readings(dip, 90, 1)
    const spiked = values.map((v, i) => (i === 80 ? v + 6 : v))
    expect(lookAt(dip, 1, 90, { values: spiked })).toMatchObject({
      kind: 'settled',
      value: expect.closeTo(START, 1),
    })
  })

  it('never claims to know better than the last digit of the meter', () => {
    const dip: Dip = { tauS: 4, known: known(4) }
    const whole = { values: new Float64Array(90).fill(18), resolution: 1 }
    expect(lookAt(dip, 1, 90, whole)).toMatchObject({
      kind: 'settled',
      value: 18,
      uResolution: expect.closeTo(1 / Math.sqrt(12), 9),
    })
  })

  it('reads a slow meter over more time', () => {
    expect(windowS(1)).toBe(30)
    expect(windowS(10)).toBe(100)
  })
})

const spotStateWithout = (nowS: number): SpotState =>
  spotState({
    timesS: new Float64Array(),
    values: new Float64Array(),
    clipped: new Uint8Array(),
    nowS,
    intervalS: 1,
    resolution: STEP,
  })

/**
 * Simulated dips, seeds 1 to 120 each: a 95 % interval of ±1.96 u must hold the fluid's own value at the moment it is dated
 * to. By chance alone 120 intervals that hold in 95 % hold in 90 to 99 % (binomial, two-sided 99 %).
 */
describe('bias and coverage of spot readings, counted', () => {
  const SEEDS = 120
  const count = (dip: (seed: number) => Dip) => countDips(dip, SEEDS)
  const SLOW: NoiseRecipe = { sd: 0.2, correlationS: 15, white: 0.3 }

  it('with a known response time and slow noise nobody has seen before', () => {
    const { given, held, bias } = count(() => ({ tauS: 9, known: known(9), halfLifeMin: 8, noise: SLOW }))
    expect(given).toBe(1)
    expect(held).toBeGreaterThan(0.9)
    expect(Math.abs(bias)).toBeLessThan(0.1)
  })

  it('with the noise known from earlier batches the interval is narrower and holds as often', () => {
    const dip = { tauS: 9, known: known(9), halfLifeMin: 20, noise: SLOW }
    const unseen = count(() => dip)
    const seen = count(() => ({ ...dip, history: true }))
    expect(seen.held).toBeGreaterThan(0.88)
    expect(seen.u).toBeLessThan(0.75 * unseen.u)
  })

  it('with a response time that is wrong by its stated uncertainty', () => {
    const { held } = count((seed) => ({
      tauS: seed % 2 === 0 ? 9.45 : 8.55,
      known: known(9),
      halfLifeMin: 8,
      noise: SLOW,
    }))
    expect(held).toBeGreaterThan(0.9)
  })

  it('with a response time nobody measured, from 3 to 62 s, the interval is wide and holds', () => {
    const { given, held, bias, u } = count((seed) => ({
      tauS: 3 + ((seed * 37) % 60),
      halfLifeMin: 12,
      noise: { sd: 0.1, correlationS: 5, white: 0 },
    }))
    expect(given).toBeGreaterThan(0.9)
    expect(held).toBeGreaterThan(0.9)
    // short of the end on the whole, and the uncertainty says so
    expect(Math.abs(bias)).toBeLessThan(u)
  })
})
