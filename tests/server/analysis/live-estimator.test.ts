import { isDeepStrictEqual } from 'node:util'
import { describe, expect, it } from 'vitest'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import { createLiveEstimator, liveEstimate } from '../../../server/analysis/live.ts'
import { batchInput } from './batch-input.ts'

/** Bubbled, purged, left standing, bubbled again and left standing, fluid warming from 8 °C. */
const whole = batchInput(
  {
    stretches: [
      { kind: 'idle', seconds: 60 },
      { kind: 'rise', seconds: 600 },
      { kind: 'purge', seconds: 60 },
      { kind: 'decay', seconds: 900 },
      { kind: 'rise', seconds: 420 },
      { kind: 'decay', seconds: 600 },
    ],
    temperatureC: (s) => 22 - 14 * Math.exp(-s / 1800),
    seed: 77,
  },
  { targetMgPerL: 10, roomC: 22, calibration: { uRelative: 0.02, uZeroMgPerL: 0.1 } },
)

/** Every twelfth reading: what a meter with an interval of 12 s sends. */
const everyTwelfth = (values: Float64Array) => values.filter((_, i) => i % 12 === 0)
const input: AnalysisInput = {
  ...whole,
  timesS: everyTwelfth(whole.timesS),
  potencyMgPerL: everyTwelfth(whole.potencyMgPerL),
  temperature: {
    timesS: everyTwelfth(whole.timesS),
    celsius: everyTwelfth(whole.temperature?.celsius ?? new Float64Array(0)),
  },
}

/** The batch as it was known after `n` readings, in the buffers of the server: parts of larger ones. */
const known = (n: number, of: AnalysisInput = input): AnalysisInput => {
  const nowS = (of.timesS[n - 1] ?? 0) + 1
  return {
    ...of,
    timesS: of.timesS.subarray(0, n),
    potencyMgPerL: of.potencyMgPerL.subarray(0, n),
    temperature: {
      timesS: of.temperature?.timesS.subarray(0, n) ?? new Float64Array(0),
      celsius: of.temperature?.celsius.subarray(0, n) ?? new Float64Array(0),
    },
    events: of.events.filter((e) => e.atS <= nowS),
    nowS,
  }
}

describe('the estimator that keeps finished phases', () => {
  it('gives exactly what a fresh estimate gives, at every reading of a batch bubbled twice', () => {
    const live = createLiveEstimator()
    const wrong: number[] = []
    for (let n = 1; n <= input.timesS.length; n++)
      if (!isDeepStrictEqual(live(known(n), 10), liveEstimate(known(n), 10))) wrong.push(n)
    expect(wrong).toEqual([])
    expect(live(known(input.timesS.length)).analysis.phases.length).toBe(5)
  })

  it('fits a finished phase anew when a reading in it is corrected', () => {
    const live = createLiveEstimator()
    const n = input.timesS.length
    const before = live(known(n))
    const corrected = {
      ...input,
      potencyMgPerL: input.potencyMgPerL.map((v, i) => (i >= 20 && i < 50 ? v * 1.1 : v)),
    }
    const now = live(known(n, corrected))
    expect(isDeepStrictEqual(now, liveEstimate(known(n, corrected)))).toBe(true)
    expect(isDeepStrictEqual(now.analysis.phases[0], before.analysis.phases[0])).toBe(false)
  })

  it('fits a finished phase anew when its entry is moved or the probe’s response is measured', () => {
    const live = createLiveEstimator()
    const n = input.timesS.length
    live(known(n))
    const moved = { ...input, events: input.events.map((e) => ({ ...e, atS: e.atS + 5 })) }
    const measured = { ...input, probeLag: { tauS: 4, uS: 0.5 } }
    for (const changed of [moved, measured, input])
      expect(isDeepStrictEqual(live(known(n, changed)), liveEstimate(known(n, changed)))).toBe(true)
  })

  it('is not misled by a buffer written over in place', () => {
    const live = createLiveEstimator()
    const n = input.timesS.length
    const buffer = { ...input, potencyMgPerL: input.potencyMgPerL.slice() }
    live(known(n, buffer))
    buffer.potencyMgPerL.fill(7, 12, 40)
    expect(isDeepStrictEqual(live(known(n, buffer)), liveEstimate(known(n, buffer)))).toBe(true)
  })
})
