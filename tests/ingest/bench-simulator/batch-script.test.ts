import { describe, expect, it } from 'vitest'
import { batchEvents } from '../../../ingest/bench-simulator/batch-script.ts'
import { playScript } from '../../../ingest/bench-simulator/play-script.ts'

const plan = {
  startS: 100,
  fill: { volumeMl: 250, fluid: 'saline' as const, temperatureC: 8, fluidHalfLifeMin20: 40 },
  ozone: { gasUgPerNml: 60, flowMlPerMin: 500 },
  readyS: 20,
  bubblingS: 300,
  purgeS: 60,
  standingS: 900,
  draws: [{ afterS: 120, ml: 50 }],
}

describe('the events of an ordinary batch', () => {
  it('follow each other from filling to throwing away', () => {
    expect(batchEvents(plan).map(({ atS, action }) => [atS, action.do])).toEqual([
      [100, 'fill'],
      [120, 'ozone-on'],
      [420, 'ozone-off'],
      [480, 'flow-off'],
      [600, 'draw'],
      [1380, 'discard'],
    ])
  })

  it('stop ozone and flow together when no purge is planned', () => {
    const events = batchEvents({ ...plan, purgeS: 0 })
    expect(events.map(({ action }) => action.do)).toEqual([
      'fill',
      'ozone-on',
      'ozone-off',
      'draw',
      'discard',
    ])
    const [before, after] = [...playScript({ seed: 1, events }, { untilS: 481, everyS: 60 })].slice(7)
    // Oxygen through the fluid would take a third and more in this minute.
    expect((after?.trueMgPerL ?? 0) / (before?.trueMgPerL ?? 1)).toBeGreaterThan(0.97)
  })
})
