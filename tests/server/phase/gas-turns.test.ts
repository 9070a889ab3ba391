import { describe, expect, it } from 'vitest'
import { findPhases } from '../../../server/phase/find-phases.ts'
import { gasTurns } from '../../../server/phase/gas-turns.ts'
import { settledLevel, type Track } from '../../../server/phase/settled-level.ts'
import { syntheticBatch } from './synthetic-batch.ts'

/** Level by level, each for so many seconds, a value every `everyS`. */
const track = (levels: readonly (readonly [level: number, seconds: number])[], everyS = 1): Track => {
  const values = levels.flatMap(([level, seconds]) => Array<number>(Math.round(seconds / everyS)).fill(level))
  return { timesS: Float64Array.from(values, (_, i) => i * everyS), values: Float64Array.from(values) }
}
const outline = (tracks: Parameters<typeof gasTurns>[0]) => gasTurns(tracks).map((t) => [t.kind, t.atS])

const OZONE = track([
  [0.3, 60],
  [52, 600],
  [0.3, 900],
])
const FLOW = track([
  [0, 30],
  [250, 690],
  [0, 840],
])

describe('turns seen in the gas', () => {
  it('tells ozone on, ozone off and flow off to the half second, a purge between them', () => {
    expect(outline({ ozone: OZONE, flow: FLOW })).toEqual([
      ['ozone-on', 59.5],
      ['ozone-off', 659.5],
      ['flow-off', 719.5],
    ])
  })

  it('tells no flow-off without a flowmeter, and no ozone-on or off without an analyser', () => {
    expect(outline({ ozone: OZONE }).map(([kind]) => kind)).toEqual(['ozone-on', 'ozone-off'])
    expect(outline({ flow: FLOW })).toEqual([['flow-off', 719.5]])
  })

  it('ends ozone with the flow, whatever stands in the analyser', () => {
    const standing = track([
      [0, 60],
      [50, 1500],
    ])
    const shut = track([
      [250, 700],
      [0, 860],
    ])
    expect(outline({ ozone: standing, flow: shut })).toEqual([
      ['ozone-on', 59.5],
      ['ozone-off', 699.5],
      ['flow-off', 699.5],
    ])
  })

  it('passes over a spike, a gap and an instrument that reads next to nothing', () => {
    const spiky = track([
      [0, 60],
      [50, 300],
      [0, 3],
      [50, 300],
      [0, 60],
    ])
    for (let i = 100; i < 160; i++) spiky.values[i] = Number.NaN
    expect(outline({ ozone: spiky }).map(([kind]) => kind)).toEqual(['ozone-on', 'ozone-off'])
    expect(
      outline({
        ozone: track([
          [0.1, 60],
          [0.9, 600],
          [0.1, 60],
        ]),
      }),
    ).toEqual([])
  })

  it('says how far off a turn may be when the gas is looked at every half minute', () => {
    const slow = track(
      [
        [0, 60],
        [50, 600],
        [0, 600],
      ],
      30,
    )
    const [on] = gasTurns({ ozone: slow })
    expect(on?.atS).toBe(45)
    expect(on?.uncertainS).toBe(20)
  })

  it('does not take a short burst for the level: half of the settled gas counts', () => {
    const burst = track([
      [0, 60],
      [290, 20],
      [50, 600],
      [0, 60],
    ])
    expect(settledLevel(burst.values, 2)).toBe(50)
    expect(outline({ ozone: burst }).map(([kind]) => kind)).toEqual(['ozone-on', 'ozone-off'])
  })
})

describe('phases with instruments on the gas', () => {
  const batch = syntheticBatch({
    stretches: [
      { kind: 'idle', seconds: 60 },
      { kind: 'rise', seconds: 600 },
      { kind: 'purge', seconds: 60 },
      { kind: 'decay', seconds: 840 },
    ],
    halfLifeMin: 180,
    noise: { sd: 0.3, correlationS: 20, white: 0 },
  })
  const gas = { ozone: OZONE, flow: FLOW }

  it('have the sharp boundaries of the gas where nobody entered anything', () => {
    const { phases } = findPhases(batch, [], { nowS: 1560, gas })
    expect(phases.map((p) => [p.kind, p.startS, p.foundBy])).toEqual([
      ['rise', 59.5, 'signal'],
      ['purge', 659.5, 'signal'],
      ['decay', 719.5, 'signal'],
    ])
    expect(phases[2]?.startWithinS).toBe(5.5)
  })

  it('are those of the entries where there are any; the gas that disagrees is told', () => {
    const events = [
      { kind: 'ozone-on', atS: 62 },
      { kind: 'ozone-off', atS: 760 },
      { kind: 'flow-off', atS: 760 },
    ]
    const { phases, disagreements } = findPhases(batch, events, { nowS: 1560, gas })
    expect(phases.map((p) => [p.kind, p.startS])).toEqual([
      ['rise', 62],
      ['decay', 760],
    ])
    expect(disagreements).toContainEqual({ kind: 'ozone-off', signalS: 659.5, enteredS: 760 })
    expect(disagreements).toContainEqual({ kind: 'flow-off', signalS: 719.5, enteredS: 760 })
  })

  it('keep the end of the purge that the fluid shows when only the analyser is wired', () => {
    const { phases } = findPhases(batch, [], { nowS: 1560, gas: { ozone: OZONE } })
    expect(phases.map((p) => p.kind)).toEqual(['rise', 'purge', 'decay'])
    expect(phases[1]?.startS).toBe(659.5)
    expect(Math.abs((phases[2]?.startS ?? 0) - 720)).toBeLessThan(20)
  })
})
