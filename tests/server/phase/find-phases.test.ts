import { describe, expect, it } from 'vitest'
import { findPhases } from '../../../server/phase/find-phases.ts'
import { syntheticBatch } from './synthetic-batch.ts'

const whole = [
  { kind: 'idle', seconds: 60 },
  { kind: 'rise', seconds: 600 },
  { kind: 'purge', seconds: 60 },
  { kind: 'decay', seconds: 1800 },
] as const

const found = (batch: ReturnType<typeof syntheticBatch>, events: { kind: string; atS: number }[] = []) =>
  findPhases(batch, events, { nowS: batch.timesS.length })

const outline = (batch: ReturnType<typeof syntheticBatch>, events: { kind: string; atS: number }[] = []) =>
  found(batch, events).phases.map((p) => [p.kind, p.startS, p.endS] as const)

/** Kinds in order, and every boundary within `withinS` of where it was put. */
const expectOutline = (
  actual: readonly (readonly [string, number, number])[],
  expected: readonly (readonly [string, number, number])[],
  withinS: number,
) => {
  expect(actual.map((p) => p[0])).toEqual(expected.map((p) => p[0]))
  actual.forEach((p, i) => {
    expect(Math.abs(p[1] - (expected[i]?.[1] ?? Number.NaN))).toBeLessThanOrEqual(withinS)
    expect(Math.abs(p[2] - (expected[i]?.[2] ?? Number.NaN))).toBeLessThanOrEqual(withinS)
  })
}

const truth = [
  ['rise', 60, 660],
  ['purge', 660, 720],
  ['decay', 720, 2520],
] as const

describe('phases from the signal alone', () => {
  it.each([1, 2, 3, 4, 5, 6])('finds rise, purge and decay of a whole batch, seed %d', (seed) => {
    expectOutline(outline(syntheticBatch({ stretches: whole, seed })), truth, 8)
  })

  it('finds a batch without a purge', () => {
    const batch = syntheticBatch({ stretches: whole.filter((s) => s.kind !== 'purge') })
    expectOutline(
      outline(batch),
      [
        ['rise', 60, 660],
        ['decay', 660, 2460],
      ],
      25,
    )
  })

  it('finds bubbling again', () => {
    const batch = syntheticBatch({
      stretches: [...whole, { kind: 'rise', seconds: 400 }, { kind: 'decay', seconds: 900 }],
    })
    expectOutline(
      outline(batch),
      [
        ['rise', 60, 660],
        ['purge', 660, 720],
        ['decay', 720, 2520],
        ['rise', 2520, 2920],
        ['decay', 2920, 3820],
      ],
      25,
    )
  })

  it('says that a record beginning in mid-rise has no start', () => {
    const batch = syntheticBatch({
      stretches: [
        { kind: 'rise', seconds: 500 },
        { kind: 'decay', seconds: 900 },
      ],
      startMgPerL: 10,
    })
    const { phases } = found(batch)
    expect(phases.map((p) => p.kind)).toEqual(['rise', 'decay'])
    expect(phases[0]?.startSeen).toBe(false)
    expect(phases[1]?.startSeen).toBe(true)
  })

  it('takes a record that only falls as a decay whose start was not seen', () => {
    const batch = syntheticBatch({ stretches: [{ kind: 'decay', seconds: 1800 }], startMgPerL: 20 })
    expect(found(batch).phases).toMatchObject([
      { kind: 'decay', startS: 0, startSeen: false, foundBy: 'signal' },
    ])
  })

  it.each([1, 2, 3, 4, 5])('finds nothing in a flat record with wandering noise, seed %d', (seed) => {
    const batch = syntheticBatch({
      stretches: [{ kind: 'idle', seconds: 3600 }],
      startMgPerL: 8,
      noise: { sd: 0.3, correlationS: 30, white: 0.2 },
      seed,
    })
    expect(found(batch).phases).toEqual([])
  })

  it('finds nothing in an empty record', () => {
    const nothing = { timesS: new Float64Array(0), values: new Float64Array(0) }
    expect(findPhases(nothing, [], { nowS: 0 })).toEqual({ phases: [], disagreements: [] })
  })

  it('follows a batch live: rise, then purge, then decay, once each is there to be seen', () => {
    const batch = syntheticBatch({ stretches: whole })
    const until = (n: number) =>
      findPhases({ timesS: batch.timesS.subarray(0, n), values: batch.values.subarray(0, n) }, [], {
        nowS: n,
      }).phases.map((p) => p.kind)
    expect(until(50)).toEqual([])
    expect(until(200)).toEqual(['rise'])
    expect(until(655)).toEqual(['rise'])
    expect(until(1100)).toEqual(['rise', 'purge', 'decay'])
  })
})

describe('a purge that goes on', () => {
  it.each([1, 2, 3, 4])('is no decay yet, however its ozone-off became known, seed %d', (seed) => {
    const batch = syntheticBatch({ stretches: whole, seed })
    const entered = [
      { kind: 'ozone-on', atS: 60 },
      { kind: 'ozone-off', atS: 660 },
    ]
    for (let n = 675; n <= 715; n += 5) {
      const part = { timesS: batch.timesS.subarray(0, n), values: batch.values.subarray(0, n) }
      for (const events of [[], entered]) {
        const { phases } = findPhases(part, events, { nowS: n })
        expect(phases.map((p) => p.kind).includes('decay')).toBe(false)
      }
    }
  })
})

describe('phases with entries', () => {
  const entries = [
    { kind: 'ozone-on', atS: 60 },
    { kind: 'ozone-off', atS: 660 },
    { kind: 'flow-off', atS: 720 },
  ]

  it('takes the entries as they are', () => {
    const { phases, disagreements } = found(syntheticBatch({ stretches: whole }), entries)
    expect(phases.map((p) => [p.kind, p.startS, p.endS, p.foundBy])).toEqual([
      ['rise', 60, 660, 'entry'],
      ['purge', 660, 720, 'entry'],
      ['decay', 720, 2520, 'entry'],
    ])
    expect(disagreements).toEqual([])
  })

  it('lets an entry win over the signal and reports the difference', () => {
    const late = [
      { kind: 'ozone-on', atS: 60 },
      { kind: 'ozone-off', atS: 720 },
      { kind: 'flow-off', atS: 720 },
    ]
    const { phases, disagreements } = found(syntheticBatch({ stretches: whole }), late)
    expect(phases.map((p) => [p.kind, p.startS])).toEqual([
      ['rise', 60],
      ['decay', 720],
    ])
    const off = disagreements.find((d) => d.kind === 'ozone-off')
    expect(off?.enteredS).toBe(720)
    expect(Math.abs((off?.signalS ?? 0) - 660)).toBeLessThan(8)
  })

  it('adds a turn that nobody entered, from the signal', () => {
    const { phases, disagreements } = found(syntheticBatch({ stretches: whole }), entries.slice(0, 1))
    expect(phases.map((p) => [p.kind, p.foundBy])).toEqual([
      ['rise', 'entry'],
      ['purge', 'signal'],
      ['decay', 'signal'],
    ])
    expect(disagreements.every((d) => d.enteredS === undefined)).toBe(true)
    expect(disagreements.length).toBe(2)
  })

  it('keeps one rise through a gas interruption of 30 s and notes it', () => {
    const interrupted = [
      { kind: 'ozone-on', atS: 60 },
      { kind: 'ozone-off', atS: 300 },
      { kind: 'ozone-on', atS: 330 },
      { kind: 'ozone-off', atS: 660 },
      { kind: 'flow-off', atS: 720 },
    ]
    const { phases } = found(syntheticBatch({ stretches: whole }), interrupted)
    expect(phases.map((p) => p.kind)).toEqual(['rise', 'purge', 'decay'])
    expect(phases[0]?.notes).toEqual(['gas interrupted for 30 s'])
  })

  it('ends at discard and lists draw-ups', () => {
    const more = [...entries, { kind: 'drawn-up', atS: 1200 }, { kind: 'discarded', atS: 1500 }]
    const { phases } = found(syntheticBatch({ stretches: whole }), more)
    expect(phases.at(-1)).toMatchObject({ kind: 'decay', endS: 1500, open: false, drawnUpS: [1200] })
  })

  it('uses entries alone when told not to read the signal', () => {
    const few = { timesS: Float64Array.of(100, 700, 900), values: Float64Array.of(5, 20, 18) }
    const { phases } = findPhases(few, entries, { nowS: 1000, useSignal: false })
    expect(phases.map((p) => [p.kind, p.startS, p.endS])).toEqual([
      ['rise', 60, 660],
      ['purge', 660, 720],
      ['decay', 720, 1000],
    ])
  })
})
