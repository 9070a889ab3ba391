import { describe, expect, it } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import { fittedCurvesAt } from '../../../server/analysis/curves.ts'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import { liveEstimate } from '../../../server/analysis/live.ts'
import { type Recipe, syntheticBatch } from '../phase/synthetic-batch.ts'
import { batchInput, START_US, WHOLE, WITHOUT_PURGE, withoutLag } from './batch-input.ts'

const calibration = { uRelative: 0.02, uZeroMgPerL: 0.1 }
const expectation = {
  fluid: 'saline',
  volumeMl: 250,
  gas: { ugPerMl: 50, reference: 'normal-0c-101kpa' },
  flowMlPerMin: 250,
  temperatureC: 20,
} as const

/** The batch as it was known `s` seconds after its start. */
const until = (input: AnalysisInput, s: number): AnalysisInput => ({
  ...input,
  timesS: input.timesS.subarray(0, s),
  potencyMgPerL: input.potencyMgPerL.subarray(0, s),
  events: input.events.filter((e) => e.atS <= s),
  nowS: s,
})

describe('the live estimate', () => {
  const recipe = { stretches: WHOLE, seed: 51 }
  const input = batchInput(recipe, { targetMgPerL: 10, calibration, roomC: 20 })
  const { truth } = syntheticBatch(recipe)

  it('follows the phases of a batch', () => {
    const phases = [30, 300, 690, 1200].map((s) => liveEstimate(until(input, s)).phase)
    expect(phases).toEqual(['idle', 'rise', 'purge', 'decay'])
  })

  it.each([200, 400, 650, 900, 1500, 2400])('holds the true potency in its band after %d s', (s) => {
    const { potency } = liveEstimate(until(input, s))
    if (potency.kind === 'none') throw new Error(potency.why)
    expect(potency.kind).toBe('measured')
    expect(potency.ci95[0]).toBeLessThan(truth[s - 1] ?? Number.NaN)
    expect(potency.ci95[1]).toBeGreaterThan(truth[s - 1] ?? Number.NaN)
    expect(potency.ageS).toBe(1)
  })

  it('is not pulled off a bent curve by the mean of its readings', () => {
    // over the first 90 s of a rise at 0.6/min the mean of the curve lies 0.5 mg/L below its value at the mean time
    const quiet = { stretches: WHOLE, noise: { sd: 0.02, correlationS: 0, white: 1 }, seed: 53 }
    const { potency } = liveEstimate(until(batchInput(quiet), 150))
    if (potency.kind === 'none') throw new Error(potency.why)
    expect(Math.abs(potency.mgPerL - (syntheticBatch(quiet).truth[150] ?? 0))).toBeLessThan(0.05)
    expect(potency.ci95[1] - potency.ci95[0]).toBeLessThan(0.1)
  })

  it('forecasts the crossing with an early bound before the truth', () => {
    const crossing = truth.findIndex((c, s) => s > 720 && c < 10)
    const { timeLeft } = liveEstimate(until(input, 1200))
    if (timeLeft.kind !== 'until') throw new Error(timeLeft.kind)
    expect(timeLeft.basis).toBe('readings')
    expect(1200 + timeLeft.earlyS).toBeLessThan(crossing)
    expect(1200 + timeLeft.ci95S[0]).toBeLessThan(crossing)
    expect(1200 + timeLeft.ci95S[1]).toBeGreaterThan(crossing)
    expect(Math.abs(1200 + timeLeft.expectedS - crossing)).toBeLessThan(120)
  })

  it('says above, too close and below as the fluid passes the target', () => {
    const crossing = truth.findIndex((c, s) => s > 720 && c < 10)
    const words = [1000, crossing, 2500].map((s) => liveEstimate(until(input, s)).decision?.word)
    expect(words).toEqual(['above', 'too-close', 'below'])
  })

  it('says not calibrated when there is no calibration', () => {
    const { calibration: _c, ...bare } = until(input, 1000)
    expect(liveEstimate(bare).decision?.word).toBe('not-calibrated')
  })

  it('answers "if off now" from the physics while gas still flows', () => {
    const { timeLeft } = liveEstimate({ ...until(input, 600), expectation })
    if (timeLeft.kind !== 'until') throw new Error(timeLeft.kind)
    expect(timeLeft).toMatchObject({ basis: 'expectation', ifOffNow: true })
    expect(timeLeft.earlyS).toBeLessThan(timeLeft.expectedS)
  })

  it('answers from the clinic’s own batches when it has them', () => {
    const history = { batches: 12, halfLife20cMin: { meanLog: Math.log(31), sdLog: 0.08 } }
    const { timeLeft } = liveEstimate({ ...until(input, 600), history })
    if (timeLeft.kind !== 'until') throw new Error(timeLeft.kind)
    expect(timeLeft.basis).toBe('history')
    // 31·log2(23.9/10) min
    expect(Math.abs(timeLeft.expectedS / 60 - 39)).toBeLessThan(2)
  })

  it('refuses without anything to go by', () => {
    expect(liveEstimate(until(input, 600)).timeLeft).toEqual({ kind: 'refused', why: 'no-basis' })
  })

  it('lets readings take over from the physics without a jump', () => {
    const left = (s: number) => {
      const { timeLeft } = liveEstimate({ ...until(input, s), expectation })
      return timeLeft.kind === 'until' ? s + timeLeft.expectedS : Number.NaN
    }
    const ends = [745, 760, 790, 820, 850, 880, 910, 940].map(left)
    const steps = ends.slice(1).map((e, i) => Math.abs(e - (ends[i] ?? 0)))
    expect(Math.max(...steps)).toBeLessThan(600)
    expect(Number.isNaN(Math.max(...ends))).toBe(false)
  })

  it('calls an old value estimated, never measured, and widens it', () => {
    const early = until(input, 1500)
    const fresh = liveEstimate(early).potency
    const later = liveEstimate({ ...early, nowS: 2100 }).potency
    if (fresh.kind === 'none' || later.kind === 'none') throw new Error('no potency')
    expect(later.kind).toBe('estimated')
    expect(later.ageS).toBe(601)
    // ten minutes of standing with a half-life of 30
    expect(Math.abs(later.mgPerL / fresh.mgPerL - 2 ** (-1 / 3))).toBeLessThan(0.01)
    const relative = (p: typeof fresh) => (p.ci95[1] - p.ci95[0]) / p.mgPerL
    expect(relative(later)).toBeGreaterThan(relative(fresh))
  })

  it('gives no number when the newest reading is clipped', () => {
    const clipped = until(input, 600)
    const potencyMgPerL = clipped.potencyMgPerL.map((v) => Math.min(v, 20))
    expect(liveEstimate({ ...clipped, potencyMgPerL, rangeMaxMgPerL: 20 }).potency).toEqual({
      kind: 'none',
      why: 'clipped',
    })
  })

  it('has nothing left after discard', () => {
    const events = [...input.events, { kind: 'discarded', atS: 2000 }] as const
    expect(liveEstimate({ ...until(input, 2100), events })).toMatchObject({
      phase: 'discarded',
      potency: { kind: 'none', why: 'nothing-left' },
      timeLeft: { kind: 'refused', why: 'nothing-left' },
    })
  })

  it('knows nothing before the first reading', () => {
    expect(liveEstimate(until(input, 0))).toMatchObject({
      phase: 'idle',
      potency: { kind: 'none', why: 'too-few-readings' },
      timeLeft: { kind: 'refused', why: 'not-bubbled-yet' },
    })
  })

  it('draws each fitted phase with its band about the truth', () => {
    const { curves } = liveEstimate(input, 50)
    expect(curves.map((c) => c.kind)).toEqual(['rise', 'purge', 'decay'])
    const [curve] = fittedCurvesAt(input, [timeUs(START_US + 300e6)])
    expect(curve?.kind).toBe('rise')
    expect(Math.abs((curve?.mean[0] ?? 0) - (truth[300] ?? 0))).toBeLessThan(0.3)
    expect(curve?.low[0]).toBeLessThan(curve?.mean[0] ?? 0)
  })
})

describe('the early bound', () => {
  const lateIn = (
    recipe: Omit<Recipe, 'stretches' | 'seed'>,
    prepare: (input: AnalysisInput) => AnalysisInput,
  ) => {
    const stretches = [...WHOLE.slice(0, 3), { kind: 'decay', seconds: 6000 }] as const
    let late = 0
    for (let seed = 1; seed <= 40; seed++) {
      const full = { ...recipe, stretches, seed: 100 + seed }
      const crossing = syntheticBatch(full).truth.findIndex((c, s) => s > 720 && c < 8)
      const { timeLeft } = liveEstimate(
        until(prepare(batchInput(full, { targetMgPerL: 8, roomC: 22 })), 1500),
      )
      if (timeLeft.kind !== 'until') throw new Error(timeLeft.kind)
      if (1500 + timeLeft.earlyS > crossing) late++
    }
    return late
  }

  it('comes after the truth in few of forty batches at a steady temperature', () => {
    // one-sided 95 %: more than 6 of 40 has a chance of 1 %
    expect(lateIn({}, (input) => ({ ...input, roomC: 20 }))).toBeLessThanOrEqual(6)
  })

  it('and of cold fluid that warms in a room of 22 °C', () => {
    const temperatureC = (s: number) => 22 - 17 * Math.exp(-s / 1800)
    expect(lateIn({ temperatureC }, (input) => input)).toBeLessThanOrEqual(6)
  })

  it('and behind a probe of 30 s that nobody measured', () => {
    expect(lateIn({ lagS: 30 }, withoutLag)).toBeLessThanOrEqual(6)
  })
})

describe('a lagging probe in a fast decay', () => {
  it('shows the fluid’s own potency, not the late one, when its response is known', () => {
    // half-life 8 min, τ 60 s: the probe reads 9.5 % high
    const recipe = { stretches: WITHOUT_PURGE, halfLifeMin: 8, lagS: 60, seed: 52 }
    const { truth } = syntheticBatch(recipe)
    const { potency } = liveEstimate(until(batchInput(recipe), 1500))
    if (potency.kind === 'none') throw new Error(potency.why)
    expect(Math.abs(potency.mgPerL / (truth[1499] ?? 0) - 1)).toBeLessThan(0.02)
  })
})
