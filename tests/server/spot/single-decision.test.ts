import { describe, expect, it } from 'vitest'
import { foldBatch } from '../../../server/ledger/batch.ts'
import type { EntryData } from '../../../server/ledger/entry.ts'
import { singleDecision } from '../../../server/spot/single-decision.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const SPOT: EntryData<'spot-reading'> = {
  from: atMinute(14),
  to: atMinute(16),
  instrument: 'm',
  value_mg_l: 18,
  as_sent_mg_l: 18,
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

const decided = (changes: Partial<EntryData<'spot-reading'>>, targetMgL: number, minutesLater = 1) => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, { ...OPENED, measuring_place: 'dipped' }))
  ledger.append(newEntry('spot-reading', 16, { ...SPOT, ...changes }))
  const batch = foldBatch([...ledger.all()])
  if (!batch) throw new Error('no batch')
  return singleDecision(batch, targetMgL, Date.parse(atMinute(16 + minutesLater)))
}

describe('the decision on one single reading', () => {
  // 18.0 with 0.3 and 0.4 together: u = 0.5; 1.645 u = 0.82
  it('is above or below only when the bound that counts is on that side', () => {
    expect(decided({}, 17.1)).toBe('above')
    expect(decided({}, 17.3)).toBe('too-close-to-say')
    expect(decided({}, 18.7)).toBe('too-close-to-say')
    expect(decided({}, 18.9)).toBe('below')
  })

  it('does not say above of a reading that is no longer new; below stays below', () => {
    expect(decided({}, 15, 3)).toBe('no-value')
    expect(decided({}, 25, 9)).toBe('below')
  })

  it('says nothing without a calibration', () => {
    expect(decided({ calibration: null }, 15)).toBe('not-calibrated')
  })

  it('says nothing of a kit whose uncertainty nobody stated', () => {
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, OPENED))
    ledger.append(newEntry('reading-by-hand', 16, { quantity: 'dissolved-ozone', value: 18, method: 'kit' }))
    const batch = foldBatch([...ledger.all()])
    expect(batch && singleDecision(batch, 15, Date.parse(atMinute(16)))).toBe('not-calibrated')
  })
})
