import { isDeepStrictEqual } from 'node:util'
import { describe, expect, it } from 'vitest'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import { createLiveEstimator, liveEstimate } from '../../../server/analysis/live.ts'
import { randomFrom } from '../fit/random.ts'
import { batchInput } from './batch-input.ts'

/** Twenty minutes of bubbling and forty of standing at 1 Hz, its meter rounding, with spikes, a jump and lost readings. */
const whole = ((): AnalysisInput => {
  const input = batchInput(
    {
      stretches: [
        { kind: 'idle', seconds: 40 },
        { kind: 'rise', seconds: 1200 },
        { kind: 'purge', seconds: 60 },
        { kind: 'decay', seconds: 2400 },
      ],
      lagS: 8,
      seed: 5,
    },
    { targetMgPerL: 12, calibration: { uRelative: 0.02, uZeroMgPerL: 0.1 } },
  )
  const { uniform } = randomFrom(9)
  const potencyMgPerL = input.potencyMgPerL.map((v, i) => {
    if (uniform() < 0.003) return Number.NaN
    if (i >= 2500 && i < 2530) return v - 5
    // some stand out by far, some by just about as much as makes an outlier
    const spike = uniform() < 0.01 ? (uniform() < 0.3 ? 6 : 0.4 + 0.4 * uniform()) : 0
    return Math.round((v + spike) * 100) / 100
  })
  return { ...input, potencyMgPerL }
})()

/** What is known after `n` readings: views on the server's buffers, and the entries made so far. */
const known = (n: number, of: AnalysisInput = whole): AnalysisInput => {
  const nowS = (of.timesS[n - 1] ?? 0) + 1
  const { temperature } = of
  return {
    ...of,
    timesS: of.timesS.subarray(0, n),
    potencyMgPerL: of.potencyMgPerL.subarray(0, n),
    ...(of.clipped === undefined ? {} : { clipped: of.clipped.subarray(0, n) }),
    ...(temperature === undefined
      ? {}
      : {
          temperature: {
            timesS: temperature.timesS.subarray(0, n),
            celsius: temperature.celsius.subarray(0, n),
          },
        }),
    events: of.events.filter((e) => e.atS <= nowS),
    nowS,
  }
}

/**
 * The inputs, in order, after which an estimator that saw them all says anything else than a fresh one; held against
 * it at every so many, which costs a whole analysis each time.
 */
const wrongOf = (inputs: readonly AnalysisInput[], heldEvery = 1): number[] => {
  const live = createLiveEstimator()
  return inputs.flatMap((input, i) => {
    const said = live(input, 7)
    const isHeld = i % heldEvery === 0 || i === inputs.length - 1
    return isHeld && !isDeepStrictEqual(said, liveEstimate(input, 7)) ? [i] : []
  })
}

const from = (first: number, count: number, step: number): number[] =>
  Array.from({ length: count }, (_, i) => first + i * step)

const with_ = (change: Partial<AnalysisInput>): AnalysisInput => ({ ...whole, ...change })

describe('the estimator of a bench, update after update', () => {
  it('gives to the last bit what the whole analysis gives, reading by reading through the first ten minutes', () => {
    const inputs = from(1, 600, 1).map((n) => known(n))
    expect(wrongOf(inputs.slice(0, 90))).toEqual([])
    expect(wrongOf(inputs, 5)).toEqual([])
  })

  it('does so where bins become twice as wide, at outliers, in a jump and through a purge', () => {
    const cuts = [...from(520, 40, 1), ...from(1225, 110, 1), ...from(2495, 50, 1), ...from(3600, 20, 5)]
    expect(
      wrongOf(
        cuts.map((n) => known(n)),
        2,
      ),
    ).toEqual([])
  })

  it('does so when many readings come at once, and when some are taken back', () => {
    expect(wrongOf([900, 1800, 1790, 3000, 30, 3700, 3700, 1].map((n) => known(n)))).toEqual([])
  })

  it('takes in a reading that comes late, in the middle of what it knew', () => {
    const late = 1700
    const without = with_({
      timesS: whole.timesS.filter((_, i) => i !== late),
      potencyMgPerL: whole.potencyMgPerL.filter((_, i) => i !== late),
    })
    expect(wrongOf([known(1900, without), known(1901, without), known(1902), known(1903)])).toEqual([])
  })

  it('takes in readings corrected in place, and a buffer that moved', () => {
    const buffer = with_({ potencyMgPerL: whole.potencyMgPerL.slice() })
    const live = createLiveEstimator()
    live(known(3000, buffer))
    for (let i = 2000; i < 2100; i++) buffer.potencyMgPerL[i] = 1.1 * (buffer.potencyMgPerL[i] ?? 0)
    expect(isDeepStrictEqual(live(known(3001, buffer)), liveEstimate(known(3001, buffer)))).toBe(true)
    const moved = with_({
      timesS: whole.timesS.subarray(300),
      potencyMgPerL: whole.potencyMgPerL.subarray(300),
    })
    expect(isDeepStrictEqual(live(known(2702, moved)), liveEstimate(known(2702, moved)))).toBe(true)
  })

  it('takes in entries made later for earlier, moved and undone', () => {
    const none = with_({ events: [] })
    const moved = with_({ events: whole.events.map((e) => ({ ...e, atS: e.atS - 7 })) })
    const drawn = with_({ events: [...whole.events, { kind: 'drawn-up', atS: 2000 }] })
    const out = with_({
      events: [...whole.events, { kind: 'probe-out', atS: 2600 }, { kind: 'probe-in', atS: 2700 }],
    })
    const inputs = [none, whole, moved, whole, drawn, whole, out, whole, none].map((of, i) =>
      known(3000 + i, of),
    )
    expect(wrongOf(inputs)).toEqual([])
  })

  it('takes in a measured probe, a stated range, an expectation and noise learnt elsewhere', () => {
    const { probeLag: _lag, ...unmeasured } = whole
    const inputs = [
      whole,
      unmeasured,
      with_({ rangeMaxMgPerL: 18 }),
      with_({ noiseHistory: { sdMgPerL: 0.1, correlationTimeS: 20, whiteFraction: 0.3 } }),
      with_({ clipped: Uint8Array.from(whole.timesS, (s) => (s > 900 && s < 950 ? 1 : 0)) }),
      with_({
        expectation: {
          fluid: 'saline',
          volumeMl: 250,
          gas: { ugPerMl: 15, reference: 'normal-0c-101kpa' },
          flowMlPerMin: 250,
          temperatureC: 20,
        },
      }),
    ]
    expect(wrongOf(inputs.flatMap((of) => from(1100, 4, 1).map((n) => known(n, of))))).toEqual([])
  })

  it('follows a meter that stops measuring, moves on by a step of its display, or runs into its range', () => {
    const stuck = with_({
      potencyMgPerL: whole.potencyMgPerL.map((v, i) => (i >= 2600 && i < 2800 ? 11.11 : v)),
    })
    const step = with_({
      potencyMgPerL: whole.potencyMgPerL.map((v, i) =>
        i >= 2600 && i < 2800 ? 11.11 : i === 2800 ? 11.12 : v,
      ),
    })
    const full = with_({ potencyMgPerL: whole.potencyMgPerL.map((v) => Math.min(22, v)) })
    for (const [of, first] of [
      [stuck, 2690],
      [step, 2780],
      [full, 310],
    ] as const)
      expect(wrongOf(from(first, 60, 2).map((n) => known(n, of)))).toEqual([])
  }, 60_000)

  it('follows fluid that warms, with a gap in its thermometer', () => {
    const celsius = whole.timesS.map((s) =>
      s > 1500 && s < 1510 ? Number.NaN : 22 - 14 * Math.exp(-s / 1800),
    )
    const warm = with_({ temperature: { timesS: whole.timesS, celsius } })
    expect(wrongOf(from(2000, 40, 3).map((n) => known(n, warm)))).toEqual([])
  })
})
