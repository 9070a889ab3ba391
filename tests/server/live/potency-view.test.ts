import { describe, expect, it } from 'vitest'
import type { Quality, Reading } from '../../../ingest/reading/reading.ts'
import { timeUs } from '../../../ingest/units.ts'
import { foldBatch } from '../../../server/ledger/batch.ts'
import { ChannelMemory } from '../../../server/live/bench-memory.ts'
import { potencyView } from '../../../server/live/potency-view.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const reading = (seq: number, s: number, value: number | null, quality: Quality): Reading => ({
  seq,
  series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
  timeUs: timeUs(s * 1e6),
  bootId: 'b',
  monoMs: s * 1000,
  raw: value,
  value,
  quality,
  movedUs: 0,
})

const memoryOf = (...values: [number, number | null, Quality][]): ChannelMemory => {
  const memory = new ChannelMemory(0)
  values.forEach(([s, value, quality], i) => {
    memory.add(reading(i + 1, s, value, quality), s * 1000)
  })
  return memory
}
const look = (
  memory: ChannelMemory,
  steadyS: number,
  more: Partial<Parameters<typeof potencyView>[0]> = {},
) =>
  potencyView({
    batch: undefined,
    memory,
    estimate: undefined,
    calibration: undefined,
    probeTauS: null,
    fullScaleMgL: 20,
    intervalS: 1,
    wired: true,
    steadyMs: steadyS * 1000,
    nowMs: Date.parse(atMinute(20)),
    ...more,
  })

const SPOT = {
  from: atMinute(14),
  to: atMinute(16),
  instrument: 'm',
  value_mg_l: 18.2,
  as_sent_mg_l: 18.2,
  u_mg_l: 0.3,
  u_scatter_mg_l: 0.3,
  u_resolution_mg_l: 0,
  u_settling_mg_l: 0,
  u_response_mg_l: 0,
  calibration: { at: atMinute(-60), method: 'indigo', u_mg_l: 0.4 },
  readings: 30,
  effective_readings: 3,
  window_s: 30,
  waited_s: 120,
  tau_s: 10,
}

describe('what the screen may say of the potency', () => {
  it('is live only while the meter sends', () => {
    const memory = memoryOf([10, 18.2, 'good'])
    expect(look(memory, 12)).toMatchObject({ state: 'live', value_mg_l: 18.2, age_s: 2 })
    expect(look(memory, 14)).toMatchObject({
      state: 'stale',
      value_mg_l: 18.2,
      low_mg_l: null,
      why: expect.stringContaining('stopped sending'),
    })
  })

  it('survives one bad reading between good ones, and becomes a fault when they go on', () => {
    expect(look(memoryOf([10, 18.2, 'good'], [11, null, 'fault']), 11.1).state).toBe('live')
    const faults = memoryOf(
      [10, 18.2, 'good'],
      [11, null, 'fault'],
      [12, null, 'fault'],
      [13, null, 'fault'],
      [14, null, 'fault'],
    )
    expect(look(faults, 14.1)).toMatchObject({ state: 'fault', why: 'the meter sends no number' })
  })

  it('is a fault from the start when there never was a good reading', () => {
    expect(look(memoryOf([10, null, 'fault']), 10.1).state).toBe('fault')
  })

  it('is below what the meter can tell when it sends only a bound, which is no fault', () => {
    const bound = { ...reading(1, 10, null, 'out-of-range'), raw: 0.05 }
    const memory = new ChannelMemory(0)
    memory.add(bound, 10_000)
    expect(look(memory, 10.1)).toMatchObject({
      state: 'below-range',
      value_mg_l: null,
      why: 'the meter sends "less than 0.05": potency is below what it can tell',
    })
    expect(look(memoryOf([10, 950, 'out-of-range']), 10.1)).toMatchObject({
      state: 'fault',
      why: 'the meter sends a number that cannot be real',
    })
  })

  it('is only "at least" when the meter is at the top of its range', () => {
    expect(look(memoryOf([10, 20, 'clipped']), 10.1)).toMatchObject({
      state: 'clipped',
      low_mg_l: null,
      high_mg_l: null,
    })
  })

  it('is nothing without a reading, and says what to do without a meter', () => {
    expect(look(new ChannelMemory(0), 10)).toMatchObject({ state: 'no-reading', value_mg_l: null })
    expect(look(new ChannelMemory(0), 10, { wired: false }).why).toMatch(/type readings in/)
  })

  it('says the probe is out while it is, although it keeps sending numbers', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, OPENED))
    ledger.append(newEntry('probe-out', 1, {}))
    expect(look(memoryOf([10, 0.1, 'good']), 10.1, { batch: foldBatch([...ledger.all()]) })).toMatchObject({
      state: 'probe-out',
    })
  })

  it('typed in by hand stands until the next reading is due, then is only an old value', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, OPENED))
    ledger.append(
      newEntry('reading-by-hand', 19, {
        quantity: 'dissolved-ozone',
        value: 10,
        u_percent: 10,
        method: 'test kit',
      }),
    )
    const batch = foldBatch([...ledger.all()])
    const fresh = look(new ChannelMemory(0), 10, { batch, wired: false })
    expect(fresh).toMatchObject({ state: 'by-hand', value_mg_l: 10, at: atMinute(19) })
    expect(fresh.low_mg_l).toBeCloseTo(8.04, 6)
    const old = look(new ChannelMemory(0), 10, {
      batch,
      wired: false,
      nowMs: Date.parse(atMinute(30)),
    })
    expect(old).toMatchObject({ state: 'stale', low_mg_l: null })
  })

  it('between spot readings is never live, whatever the meter sends', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, { ...OPENED, measuring_place: 'aliquot' }))
    const sending = memoryOf([10, 3.3, 'good'])
    const before = look(sending, 10.1, { batch: foldBatch([...ledger.all()]) })
    expect(before).toMatchObject({ state: 'no-reading', value_mg_l: null, why: 'no spot reading taken yet' })
    ledger.append(newEntry('spot-reading', 16, SPOT))
    const taken = look(sending, 10.1, { batch: foldBatch([...ledger.all()]) })
    expect(taken).toMatchObject({
      state: 'by-hand',
      taken: 'meter',
      value_mg_l: 18.2,
      age_s: 240,
      calibration: { method: 'indigo' },
    })
    // 1.96 times scatter and calibration together
    expect(taken.high_mg_l).toBeCloseTo(18.2 + 1.96 * 0.5, 6)
  })

  it('in a companion flask the meter is live until somebody takes a spot reading', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, OPENED))
    const sending = memoryOf([10, 18, 'good'])
    expect(look(sending, 10.1, { batch: foldBatch([...ledger.all()]) }).state).toBe('live')
    ledger.append(newEntry('spot-reading', 16, SPOT))
    expect(look(sending, 10.1, { batch: foldBatch([...ledger.all()]) }).state).toBe('by-hand')
  })
})
