import { describe, expect, it } from 'vitest'
import type { SimulatedSample } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { createLiveBench } from '../../../ingest/bench-simulator/live-bench.ts'
import { playScript } from '../../../ingest/bench-simulator/play-script.ts'
import type { BenchScript } from '../../../ingest/bench-simulator/script.ts'
import { handClock } from './hand-clock.ts'
import { fill, ozoneOn } from './quiet-bench.ts'

const START_MS = 1_700_000_000_000
const script: BenchScript = {
  seed: 9,
  events: [
    { atS: 5, action: fill({ fluid: 'saline', temperatureC: 6, fluidHalfLifeMin20: 40 }) },
    { atS: 20, action: ozoneOn() },
    { atS: 320, action: { do: 'ozone-off' } },
    { atS: 380.25, action: { do: 'flow-off' } },
  ],
}

type Live = Parameters<typeof createLiveBench>[2]

const liveAt = (agoS: number, options: Live = {}, played = script) => {
  const clock = handClock(START_MS + agoS * 1000)
  const bench = createLiveBench(played, START_MS, { clock, ...options })
  const sent: { sample: SimulatedSample; sequence: number }[] = []
  bench.onSample((sample, sequence) => sent.push({ sample, sequence }))
  return { clock, bench, sent }
}

describe('a live bench', () => {
  it('sends what the played script has, from the moment it is started on', () => {
    const { clock, bench, sent } = liveAt(300.4)
    bench.start()
    clock.pass(100_000)
    const played = [...playScript(script, { untilS: 401 })]
    expect(sent.map(({ sample }) => sample)).toEqual(played.slice(301))
    expect(sent.map(({ sequence }) => sequence)).toEqual(played.slice(301).map(({ atS }) => atS))
  })

  it('gives the same samples however often it was stopped and begun anew', () => {
    const [early, late] = [liveAt(0), liveAt(350)]
    for (const { bench } of [early, late]) bench.start()
    early.clock.pass(400_000)
    late.clock.pass(50_000)
    expect(early.sent.slice(-50)).toEqual(late.sent)
  })

  it('sends one sample per interval at its moment, not a hair before', () => {
    const { clock, bench, sent } = liveAt(10, { intervalS: 0.25 })
    bench.start()
    clock.pass(249)
    expect(sent).toHaveLength(0)
    clock.pass(1)
    expect(sent.map(({ sample }) => sample.atS)).toEqual([10.25])
    clock.pass(1000)
    expect(sent.map(({ sequence }) => sequence)).toEqual([41, 42, 43, 44, 45])
  })

  it('runs faster than the wall when asked', () => {
    const { clock, bench, sent } = liveAt(0, { speed: 60 })
    bench.start()
    // Timers are of whole milliseconds, 0.06 s of this bench.
    clock.pass(1001)
    expect(sent.map(({ sample }) => sample.atS)).toEqual(Array.from({ length: 60 }, (_, i) => i + 1))
  })

  it('waits for a start that lies ahead, and refuses actions until then', () => {
    const { clock, bench, sent } = liveAt(-3)
    bench.start()
    clock.pass(2500)
    expect(sent).toHaveLength(0)
    expect(bench.apply({ do: 'probe-out' })).toEqual({ ok: false, why: 'the bench starts in 1 s' })
    clock.pass(1500)
    expect(sent.map(({ sample }) => sample.atS)).toEqual([0, 1])
  })

  it('does what somebody asks at that moment, besides the script', () => {
    const { clock, bench, sent } = liveAt(400)
    bench.start()
    clock.pass(500)
    expect(bench.apply({ do: 'draw', ml: 100 })).toEqual({ ok: true })
    clock.pass(500)
    expect(sent.at(-1)?.sample.volumeMl).toBe(150)
    expect(bench.apply({ do: 'draw', ml: 200 })).toEqual({ ok: false, why: 'less than 150 mL can be drawn' })
  })

  it('keeps going when the script asks for what somebody already did', () => {
    const { clock, bench, sent } = liveAt(10)
    bench.start()
    bench.apply(ozoneOn(80, 300))
    bench.apply({ do: 'ozone-off', purge: 'none' })
    clock.pass(400_000)
    expect(bench.refused()).toEqual([])
    expect(sent).toHaveLength(400)
    const other = liveAt(100)
    other.bench.start()
    other.bench.apply({ do: 'ozone-off', purge: 'none' })
    other.clock.pass(400_000)
    expect(other.bench.refused()).toEqual([
      'ozone-off at 320 s: ozone is not on',
      'flow-off at 380.25 s: no gas flows',
    ])
    expect(other.sent).toHaveLength(400)
  })

  it('does not repeat what it could not send while the computer slept', () => {
    const { clock, bench, sent } = liveAt(100)
    bench.start()
    clock.sleep(60_000)
    expect(sent.map(({ sequence }) => sequence)).toEqual([158, 159, 160])
    expect(bench.missed()).toBe(57)
    expect(bench.latest()?.atS).toBe(160)
  })

  it('sends nothing after it was stopped, also when a listener stops it', () => {
    const { clock, bench, sent } = liveAt(0)
    bench.onSample(({ atS }) => {
      if (atS === 3) bench.stop()
    })
    bench.start()
    clock.pass(10_000)
    expect(sent).toHaveLength(3)
    expect(bench.apply({ do: 'probe-out' })).toEqual({ ok: false, why: 'the bench is not running' })
  })
})
