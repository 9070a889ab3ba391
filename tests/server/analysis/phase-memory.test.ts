import { describe, expect, it } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import type { BatchContext } from '../../../server/analysis/batch-context.ts'
import { Cleaner } from '../../../server/analysis/clean-readings.ts'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import { remembering } from '../../../server/analysis/phase-memory.ts'
import { PhaseSlots } from '../../../server/analysis/phase-slots.ts'
import type { Phase } from '../../../server/phase/phase.ts'
import { syntheticBatch } from '../phase/synthetic-batch.ts'

const { timesS, values } = syntheticBatch({
  stretches: [
    { kind: 'rise', seconds: 600 },
    { kind: 'decay', seconds: 900 },
  ],
})
const RISE: Phase = {
  kind: 'rise',
  startS: 0,
  endS: 600,
  foundBy: 'entry',
  startSeen: true,
  open: false,
  drawnUpS: [],
  notes: [],
}

/** Known up to a second, the thermometer up to another one. */
const contextAt = (untilS: number, celsius: (s: number) => number): BatchContext => {
  const input: AnalysisInput = {
    startUs: timeUs(0),
    timesS: timesS.subarray(0, untilS),
    potencyMgPerL: values.subarray(0, untilS),
    temperature: { timesS: timesS.subarray(0, untilS), celsius: timesS.subarray(0, untilS).map(celsius) },
    events: [],
    nowS: untilS,
  }
  const readings = new Cleaner().take(input)
  const slots = new PhaseSlots()
  return { input, readings, readingsOf: (phase, from = 0) => slots.of(readings, phase, from) }
}
const steady = () => 20

describe('what is kept of a finished phase', () => {
  it('is given again while meter and thermometer go on', () => {
    const { rise } = remembering()
    const first = rise(contextAt(640, steady), RISE)
    for (const untilS of [641, 700, 1200, 1500]) expect(rise(contextAt(untilS, steady), RISE)).toBe(first)
  })

  it('is fitted anew when the temperature of the phase itself turns out to be another', () => {
    const { rise } = remembering()
    const first = rise(contextAt(640, steady), RISE)
    expect(
      rise(
        contextAt(640, (s) => (s < 300 ? 20 : 22)),
        RISE,
      ),
    ).not.toBe(first)
  })

  it('is fitted anew when the thermometer speaks after the end for the first time', () => {
    const { rise } = remembering()
    const first = rise(contextAt(600, steady), RISE)
    expect(rise(contextAt(640, steady), RISE)).not.toBe(first)
  })
})
