import { describe, expect, it } from 'vitest'
import { liveEstimate } from '../../../server/analysis/live.ts'
import { foldBatch } from '../../../server/ledger/batch.ts'
import { analysisInput, batchStartUs } from '../../../server/live/analysis-input.ts'
import { ChannelMemory } from '../../../server/live/bench-memory.ts'
import { benchView } from '../../../server/live/bench-view.ts'
import { nextStep } from '../../../server/live/next-step.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

/** A bench where values are typed in: 20 at flow-off, then falling with a half-life of 30 min; target 8. */
const typedBench = (uPercent: number | undefined) => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, { ...OPENED, target_mg_l: 8 }))
  for (const [kind, minute] of [
    ['ozone-on', 1],
    ['ozone-off', 9],
    ['flow-off', 9],
  ] as const)
    ledger.append(newEntry(kind, minute, {}))
  for (const minute of [10, 15, 20, 25]) {
    const value = 20 * 2 ** (-(minute - 9) / 30)
    const u = uPercent === undefined ? {} : { u_percent: uPercent }
    ledger.append(
      newEntry('reading-by-hand', minute, { quantity: 'dissolved-ozone', value, method: 'test kit', ...u }),
    )
  }
  const batch = foldBatch([...ledger.all()])
  if (!batch) throw new Error('no batch')
  const startUs = batchStartUs(batch)
  const none = new ChannelMemory(0)
  const nowMs = Date.parse(atMinute(25)) + 30_000
  const input = analysisInput({
    batch,
    startUs,
    potency: none,
    temperature: none,
    companions: new Map(),
    fullScaleMgL: null,
    history: { batches: 5, halfLife20cMin: { meanLog: Math.log(30), sdLog: 0.1 } },
    noise: undefined,
    rulesOfThumb: [],
    clockSteps: [],
    nowS: (nowMs * 1000 - startUs) / 1e6,
  })
  const bench = { id: 'A', name: 'Bench A', simulated: false, control: null }
  return benchView({
    bench,
    batch,
    potency: none,
    temperature: none,
    roomOzone: none,
    companions: new Map(),
    conditions: {},
    estimate: liveEstimate(input),
    calibration: undefined,
    probeTauS: null,
    fullScaleMgL: null,
    intervalS: 1,
    wired: false,
    steadyMs: 1e6,
    nowMs,
  })
}

describe('a value that is not calibrated', () => {
  it('gets no time above the target and no word about it, and nothing is highlighted as the next step', () => {
    const view = typedBench(undefined)
    expect(view.decision).toBe('not-calibrated')
    expect(view.forecast).toMatchObject({
      state: 'cannot-tell',
      reaches_target_at: null,
      early_bound_at: null,
      why: 'not calibrated, so no time is counted',
    })
    expect(nextStep(view, { time: (iso) => iso })).toMatchObject({ action: null })
  })

  it('is one typed in without the uncertainty of its method; with it, that uncertainty stands for a calibration', () => {
    const view = typedBench(5)
    expect(view.decision).toBe('above')
    expect(view.forecast.state).toBe('counting')
    expect(Date.parse(view.forecast.early_bound_at ?? '')).toBeLessThan(
      Date.parse(view.forecast.reaches_target_at ?? ''),
    )
  })
})
