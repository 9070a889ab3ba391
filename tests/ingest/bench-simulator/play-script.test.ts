import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { playScript } from '../../../ingest/bench-simulator/play-script.ts'
import { createPlayer } from '../../../ingest/bench-simulator/player.ts'
import { type BenchScript, benchScriptSchema } from '../../../ingest/bench-simulator/script.ts'
import { gasInBubbles, solubilityRatio } from '../../../ingest/bench-simulator/solubility.ts'
import { wireLine } from '../../../ingest/bench-simulator/wire-line.ts'
import { celsius, kilopascal, ugPerNml } from '../../../ingest/units.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const batch: BenchScript = {
  seed: 42,
  settings: { meter: { spikeChance: 0.01, bubblingNoiseTimes: 2 }, roomOzone: {} },
  events: [
    { atS: 10, action: fill({ fluid: 'saline', temperatureC: 6, fluidHalfLifeMin20: 40 }) },
    { atS: 30, action: ozoneOn() },
    { atS: 330, action: { do: 'ozone-off' } },
    { atS: 390, action: { do: 'flow-off' } },
    { atS: 600.5, action: { do: 'draw', ml: 50, lostShare: 0.02 } },
    { atS: 700, action: { do: 'probe-out' } },
    { atS: 760, action: { do: 'probe-in' } },
    { atS: 890, action: { do: 'discard' } },
  ],
}

const linesOf = (script: BenchScript) =>
  [...playScript(script, { untilS: 900 })].map((sample, i) => wireLine(sample, i)).join('')

describe('a played script', () => {
  it('gives identical bytes for the same seed and different ones for another', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2 ** 32 - 1 }), (seed) => {
        const lines = linesOf({ ...batch, seed })
        expect(linesOf(JSON.parse(JSON.stringify({ ...batch, seed })))).toBe(lines)
        expect(linesOf({ ...batch, seed: (seed ^ 1) >>> 0 })).not.toBe(lines)
      }),
      { numRuns: 5 },
    )
  })

  it('samples its start and every interval after, and stops before its end', () => {
    const at = [...playScript(batch, { untilS: 1, everyS: 0.25 })].map((s) => s.atS)
    expect(at).toEqual([0, 0.25, 0.5, 0.75])
  })

  it('has a truth that does not depend on how often the meter looks', () => {
    const at800 = (everyS: number) =>
      [...playScript(batch, { untilS: 800.25, everyS })].at(-1)?.trueMgPerL ?? 0
    expect(at800(0.5)).toBeGreaterThan(5)
    expect(Math.abs(at800(0.5) / at800(20) - 1)).toBeLessThan(1e-8)
  })

  it('loses volume and a little level at a draw-up', () => {
    const samples = [...playScript(batch, { untilS: 602 })]
    expect(samples[600]?.volumeMl).toBe(250)
    expect(samples[601]?.volumeMl).toBe(200)
    expect((samples[601]?.trueMgPerL ?? 0) / (samples[600]?.trueMgPerL ?? 0)).toBeCloseTo(0.98, 3)
  })

  it('repeats its events for ever when asked', () => {
    const twice = [...playScript({ ...batch, repeatEveryS: 1000 }, { untilS: 2000, everyS: 10 })]
    const [first, second] = [twice.slice(0, 100), twice.slice(100)].map((half) => half.map((s) => s.volumeMl))
    expect(second).toEqual(first)
    expect(first).toContain(200)
  })

  it.each<[string, Partial<BenchScript>, string]>([
    [
      'a negative time',
      { events: [{ atS: -1, action: { do: 'discard' } }] },
      'script.events[0].atS needs a number of s from 0 to 1000000000, got -1',
    ],
    [
      'events out of order',
      {
        events: [
          { atS: 5, action: ozoneOn() },
          { atS: 4, action: ozoneOn() },
        ],
      },
      'script.events[1].atS needs a time no earlier than the event before it (5 s), got 4',
    ],
    [
      'a repeat shorter than the events',
      { repeatEveryS: 100 },
      "script.repeatEveryS needs more than the last event's 890 s, got 100",
    ],
    ['a seed that is none', { seed: 1.5 }, 'script.seed needs a whole number from 0 to 4294967295, got 1.5'],
  ])('names the fault: %s', (_, change, message) => {
    expect(() => linesOf({ ...batch, ...change })).toThrow(message)
  })

  it('refuses samples that lie no time apart', () => {
    expect(() => [...playScript(batch, { untilS: 1, everyS: 0 })]).toThrow(
      'everyS needs a number of s from 0.001 to 86400, got 0',
    )
  })

  it('says which action the bench refused, and why', () => {
    const script: BenchScript = { seed: 1, events: [{ atS: 3, action: ozoneOn() }] }
    expect(() => linesOf(script)).toThrow('ozone-on at 3 s: the flask is empty')
  })
})

describe('a player', () => {
  it('never goes back in time', () => {
    const script = benchScriptSchema.parse(batch)
    const [steady, restless] = [createPlayer(script, () => {}), createPlayer(script, () => {})]
    for (const player of [steady, restless]) player.sampleAt(500)
    restless.applyAt(100, { do: 'probe-out' })
    expect(restless.sampleAt(560).trueMgPerL).toBe(steady.sampleAt(560).trueMgPerL)
  })
})

describe('the simulated fluid', () => {
  const start = fc.record({
    seed: fc.integer({ min: 0, max: 1000 }),
    temperatureC: fc.double({ min: 1, max: 40, noNaN: true }),
    volumeMl: fc.double({ min: 20, max: 2000, noNaN: true }),
    gas: fc.double({ min: 1, max: 150, noNaN: true }),
    flow: fc.double({ min: 5, max: 2000, noNaN: true }),
    transferPerMin20: fc.double({ min: 0.01, max: 20, noNaN: true }),
    halfLife: fc.double({ min: 0.5, max: 1000, noNaN: true }),
    decayOrder: fc.constantFrom(1 as const, 1.5 as const, 2 as const),
    fluid: fc.constantFrom('saline' as const, 'distilled' as const),
    dtS: fc.double({ min: 0.1, max: 20, noNaN: true }),
  })

  it('filled from nothing at one temperature never passes equilibrium and never goes below zero', () => {
    fc.assert(
      fc.property(start, (s) => {
        const room = { temperatureC: s.temperatureC }
        const bench = createSimulatedBench(
          { ...QUIET, room, flask: { ...QUIET.flask, transferPerMin20: s.transferPerMin20 } },
          s.seed,
        )
        const { volumeMl, fluid, temperatureC, decayOrder } = s
        const filling = fill({ volumeMl, fluid, temperatureC, decayOrder, fluidHalfLifeMin20: s.halfLife })
        expect([bench.apply(filling), bench.apply(ozoneOn(s.gas, s.flow))]).toEqual([
          { ok: true },
          { ok: true },
        ])
        const t = celsius(s.temperatureC)
        const salt = s.fluid === 'saline' ? 0.154 : 0
        const inGas = gasInBubbles(ugPerNml(s.gas), t, kilopascal(101.325))
        const equilibrium = solubilityRatio(t, salt) * inGas
        for (let i = 0; i < 30; i++) {
          bench.step(s.dtS)
          const { trueMgPerL } = bench.readings()
          expect(trueMgPerL).toBeGreaterThan(0)
          expect(trueMgPerL).toBeLessThanOrEqual(equilibrium * (1 + 1e-9))
        }
        bench.apply({ do: 'ozone-off' })
        for (let i = 0; i < 30; i++) {
          bench.step(s.dtS)
          expect(bench.readings().trueMgPerL).toBeGreaterThanOrEqual(0)
        }
      }),
      { numRuns: 40 },
    )
  })
})
