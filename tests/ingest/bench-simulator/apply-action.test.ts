import { describe, expect, it } from 'vitest'
import type { ActionInput } from '../../../ingest/bench-simulator/action.ts'
import { createSimulatedBench } from '../../../ingest/bench-simulator/bench-simulator.ts'
import { fill, ozoneOn, QUIET } from './quiet-bench.ts'

const benchAfter = (...before: ActionInput[]) => {
  const bench = createSimulatedBench(QUIET, 1)
  for (const action of before) expect(bench.apply(action)).toEqual({ ok: true })
  return bench
}

describe('a bench refuses what nobody could do', () => {
  it.each<[string, ActionInput[], ActionInput, string]>([
    ['ozone into nothing', [], ozoneOn(), 'the flask is empty'],
    ['drawing from nothing', [], { do: 'draw', ml: 10 }, 'the flask is empty'],
    ['discarding nothing', [], { do: 'discard' }, 'the flask is empty'],
    ['filling a full flask', [fill()], fill(), 'the flask is not empty: discard first'],
    ['ozone off before on', [fill()], { do: 'ozone-off' }, 'ozone is not on'],
    ['flow off without flow', [fill()], { do: 'flow-off' }, 'no gas flows'],
    ['drawing all there is', [fill()], { do: 'draw', ml: 250 }, 'less than 250 mL can be drawn'],
    ['discarding while gas flows', [fill(), ozoneOn()], { do: 'discard' }, 'gas still flows: flow off first'],
    ['a probe in twice', [], { do: 'probe-in' }, 'the probe is in already'],
    ['a probe out twice', [{ do: 'probe-out' }], { do: 'probe-out' }, 'the probe is out already'],
  ])('%s', (_, before, action, why) => {
    expect(benchAfter(...before).apply(action)).toEqual({ ok: false, why })
  })

  it('and stays as it was', () => {
    const bench = benchAfter(fill({ dissolvedMgPerL: 7 }))
    bench.apply({ do: 'draw', ml: 300 })
    expect(bench.readings()).toMatchObject({ volumeMl: 250, trueMgPerL: 7 })
  })

  it('names every fault of an action at once', () => {
    const bench = benchAfter()
    expect(bench.apply({ ...fill({ volumeMl: -5, temperatureC: 200 }) })).toEqual({
      ok: false,
      why: 'action.volumeMl needs a number of mL from 1 to 5000, got -5; action.temperatureC needs a number of °C from 0.1 to 60, got 200',
    })
  })

  it('names an action that there is not', () => {
    const bench = benchAfter()
    const result = bench.apply(JSON.parse('{"do":"dance"}'))
    expect(result).toMatchObject({ ok: false, why: expect.stringContaining('do: one of fill, ozone-on') })
  })
})

describe('a bench', () => {
  it('bubbles the same fill again after the flow was off', () => {
    const bench = benchAfter(fill(), ozoneOn())
    bench.step(300)
    const first = bench.readings().trueMgPerL
    for (const action of [{ do: 'ozone-off' }, { do: 'flow-off' }, ozoneOn()] as const) bench.apply(action)
    bench.step(300)
    expect(bench.readings().trueMgPerL).toBeGreaterThan(first * 1.05)
  })

  it('starts from nothing after a discard and a refill', () => {
    const bench = benchAfter(fill({ dissolvedMgPerL: 20 }), { do: 'discard' })
    expect(bench.readings()).toMatchObject({ trueMgPerL: 0, volumeMl: 0 })
    bench.apply(fill({ volumeMl: 500 }))
    expect(bench.readings()).toMatchObject({ trueMgPerL: 0, volumeMl: 500 })
  })

  it('warms its fluid towards a room that changes', () => {
    // Newton: after one time constant 1/e of the difference is left; 5 °C in 22 °C is 15.746, then in 30 °C 24.756.
    const bench = createSimulatedBench({ ...QUIET, flask: { ...QUIET.flask, warmingMin: 30 } }, 1)
    bench.apply(fill({ temperatureC: 5 }))
    bench.step(1800)
    expect(bench.readings().fluidC).toBeCloseTo(15.746, 3)
    bench.apply({ do: 'set-room', temperatureC: 30 })
    bench.step(1800)
    expect(bench.readings().fluidC).toBeCloseTo(24.7563, 3)
  })
})
