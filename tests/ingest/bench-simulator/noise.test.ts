import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { createSlowNoise, meterReading } from '../../../ingest/bench-simulator/noise.ts'
import { createRandom } from '../../../ingest/bench-simulator/random.ts'
import { benchSettingsSchema } from '../../../ingest/bench-simulator/settings.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const COUNT = 50_000
const meterOf = (meter: object) => benchSettingsSchema.parse({ meter: { ...QUIET.meter, ...meter } }).meter

describe('slow meter noise', () => {
  it('fades as exp(−h/τ) whatever the spacing of the samples', () => {
    // 20 s correlation time: ρ(1 s) = 0.951, ρ(5 s) = 0.779, ρ(20 s) = 0.368. The limit 0.03 is about five standard
    // errors of an autocorrelation at 50,000 samples, 1,250 of them effectively independent.
    for (const spacingS of [1, 5]) {
      const noise = createSlowNoise(createRandom(11), 20)
      const series = Array.from({ length: COUNT }, () => noise.after(spacingS))
      for (const gap of [1, 4]) {
        const expected = Math.exp((-gap * spacingS) / 20)
        expect(Math.abs(autocorrelation(series, gap) - expected)).toBeLessThan(0.03)
      }
    }
  })

  it('has a standard deviation of one from its first value on', () => {
    const firsts = Array.from({ length: 4000 }, (_, seed) => createSlowNoise(createRandom(seed), 20).after(0))
    const variance = firsts.reduce((sum, x) => sum + x * x, 0) / firsts.length
    expect(Math.abs(variance - 1)).toBeLessThan(5 * Math.sqrt(2 / 4000))
  })
})

describe('meter display', () => {
  const reading = (value: number, meter: object) => meterReading(value, 0, 1, meterOf(meter), createRandom(1))

  it('applies gain and zero error', () => {
    expect(reading(10, { gain: 1.05, zeroMgPerL: -0.2 }).mgPerL).toBeCloseTo(10.3, 12)
  })

  it('rounds to its last digit', () => {
    expect(reading(10.26, { resolutionMgPerL: 0.1 }).mgPerL).toBe(10.3)
  })

  it('stands at full scale and says so when there is more', () => {
    expect(reading(25, { fullScaleMgPerL: 20 })).toEqual({ mgPerL: 20, clipped: true })
    expect(reading(19.99, { fullScaleMgPerL: 20 })).toEqual({ mgPerL: 19.99, clipped: false })
  })

  it('shows nothing below the lowest value it has', () => {
    expect(reading(-1, { lowestMgPerL: -0.5 }).mgPerL).toBe(-0.5)
  })

  it('spikes as often as asked', () => {
    const [random, meter] = [createRandom(5), meterOf({ spikeChance: 0.02, spikeMgPerL: 5 })]
    const spikes = Array.from({ length: COUNT }, () => meterReading(10, 0, 1, meter, random).mgPerL)
    const share = spikes.filter((x) => x !== 10).length / COUNT
    expect(Math.abs(share - 0.02)).toBeLessThan(5 * Math.sqrt((0.02 * 0.98) / COUNT))
    expect(new Set(spikes)).toEqual(new Set([5, 10, 15]))
  })

  it('is noisier while bubbles strike the membrane', () => {
    const spread = (bubbling: boolean) => {
      const settings = { ...QUIET, meter: { ...QUIET.meter, whiteNoiseMgPerL: 0.1, bubblingNoiseTimes: 3 } }
      const bench = createSimulatedBench({ ...settings, room: { temperatureC: 20 } }, 3)
      bench.apply(fill())
      if (bubbling) bench.apply(ozoneOn())
      bench.step(7200)
      const errors = Array.from({ length: 4000 }, () => bench.readings()).map(
        (s) => s.meterMgPerL - s.trueMgPerL,
      )
      return Math.sqrt(errors.reduce((sum, x) => sum + x * x, 0) / errors.length)
    }
    expect(spread(false)).toBeGreaterThan(0.09)
    expect(spread(false)).toBeLessThan(0.11)
    expect(Math.abs(spread(true) / spread(false) - 3)).toBeLessThan(0.01)
  })
})

const autocorrelation = (series: readonly number[], gap: number): number => {
  const sumOf = (lag: number) => series.slice(lag).reduce((sum, x, i) => sum + x * (series[i] ?? 0), 0)
  return sumOf(gap) / sumOf(0)
}
