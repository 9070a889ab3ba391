import { describe, expect, it } from 'vitest'
import { readConfig } from '../../../ingest/bench-simulator/main-config.ts'
import { playScript } from '../../../ingest/bench-simulator/play-script.ts'

const NOW_MS = 1_700_000_000_000
const bench = { id: 'bench-1', script: { seed: 1, events: [] }, tcpPort: 0 }

const faultsOf = (raw: unknown): readonly string[] => {
  try {
    readConfig(raw, NOW_MS)
    return []
  } catch (error) {
    return error instanceof Error && 'faults' in error ? (error.faults as string[]) : [String(error)]
  }
}

describe('the configuration of the bench simulator', () => {
  it('fills in what was left out', () => {
    const config = readConfig({ benches: [bench] }, NOW_MS)
    expect(config).toMatchObject({
      host: '127.0.0.1',
      benches: [{ id: 'bench-1', intervalS: 1, speed: 1, startEpochMs: NOW_MS, tcpPort: 0 }],
    })
  })

  it('names every fault at once with key, requirement and what was got', () => {
    const raw = {
      benches: [
        { ...bench, tcpPort: 70_000, intervalS: 0 },
        { ...bench, id: 'Bench 2', script: { seed: 1, events: [{ atS: 0, action: { do: 'draw', ml: 0 } }] } },
        {
          ...bench,
          id: 'bench-3',
          colour: 'red',
          script: { seed: 1, settings: { meter: { lagS: 'slow' } }, events: [] },
        },
      ],
    }
    expect(faultsOf(raw)).toEqual([
      'config.benches[0].intervalS needs a number of s from 0.001 to 3600, got 0',
      'config.benches[0].tcpPort needs a whole number from 0 to 65535, got 70000',
      'config.benches[1].id needs a name of up to 40 of a-z, 0-9 and -, got "Bench 2"',
      'config.benches[1].script.events[0].action.ml needs a number of mL from 0.01 to 5000, got 0',
      'config.benches[2].script.settings.meter.lagS needs a number of s from 0 to 600, got "slow"',
      'config.benches[2] has no key "colour"',
    ])
  })

  it.each([
    ['no benches', {}, 'config.benches needs at least one bench, or load, got nothing'],
    ['nothing', null, 'config needs a value of type object, got null'],
    [
      'two benches of one name',
      { benches: [bench, bench] },
      'config.benches[1].id needs a name of its own, got "bench-1"',
    ],
    [
      'a bench that is heard nowhere',
      { benches: [{ ...bench, tcpPort: undefined }] },
      'config.benches[0] needs tcpPort, ptyPath or both, got {"id":"bench-1","script":{"seed":1,"events":[]}}',
    ],
  ])('says what is wrong with %s', (_, raw, fault) => {
    expect(faultsOf(raw)).toEqual([fault])
  })
})

describe('load', () => {
  it('is many benches at the asked rate on ports of their own, out of step and with noise of their own', () => {
    const { benches } = readConfig({ load: { benches: 50, linesPerS: 10, firstPort: 20_000 } }, NOW_MS)
    expect(benches).toHaveLength(50)
    expect(benches.map(({ tcpPort }) => tcpPort)).toEqual(Array.from({ length: 50 }, (_, i) => 20_000 + i))
    expect(new Set(benches.map(({ intervalS }) => intervalS))).toEqual(new Set([0.1]))
    expect(new Set(benches.map(({ script }) => script.seed)).size).toBe(50)
    expect(new Set(benches.map(({ startEpochMs }) => startEpochMs)).size).toBe(50)
  })

  it('bubbles and stands, batch after batch, without a refused action', () => {
    const [first] = readConfig({ load: { benches: 1, linesPerS: 1 } }, NOW_MS).benches
    const samples = [...playScript(first?.script ?? { seed: 0, events: [] }, { untilS: 6300, everyS: 10 })]
    const peaks = [0, 2100, 4200].map((fromS) =>
      Math.max(...samples.filter(({ atS }) => atS >= fromS && atS < fromS + 2100).map((s) => s.trueMgPerL)),
    )
    expect(Math.min(...peaks)).toBeGreaterThan(15)
    expect(Math.max(...peaks) / Math.min(...peaks)).toBeCloseTo(1, 6)
  })
})
