import { describe, expect, it } from 'vitest'
import {
  inDoubt,
  isOverdue,
  pastCalibrations,
  pastChecks,
  suspectSpans,
} from '../../../server/calibration/instrument-history.ts'
import type { EntryData } from '../../../server/ledger/entry.ts'
import { atMinute, newEntry, temporaryLedger } from '../../support/entries.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'

const FREE = { bench: null, batch: null }
const CHECK: EntryData<'instrument-check'> = {
  kind: 'thermometer',
  instrument: 'meter-a',
  reference: 'ice bath',
  unit: '°C',
  expected: 0,
  found: 0.1,
  limit: 0.5,
  outcome: 'within',
}

const withEntries = (
  calibrations: readonly (readonly [number, Partial<EntryData<'calibration'>>])[],
  checks: readonly (readonly [number, Partial<EntryData<'instrument-check'>>])[] = [],
) => {
  const { ledger } = temporaryLedger()
  for (const [minute, data] of calibrations)
    ledger.append(newEntry('calibration', minute, { ...CALIBRATED, ...data }, FREE))
  for (const [minute, data] of checks)
    ledger.append(newEntry('instrument-check', minute, { ...CHECK, ...data }, FREE))
  return [...ledger.all()]
}
const found = (shown: number, limit_percent: number) => ({
  as_found: { shown, reference: 20 },
  as_left: { shown, reference: 20 },
  u_reference_percent: 1,
  limit_percent,
})

describe('the calibrations of an instrument', () => {
  it('say as found by the calibration before, and as left by their own', () => {
    const entries = withEntries([
      [0, { slope: 0.95, zero: 0 }],
      [100, { slope: 0.9, zero: 0, ...found(18, 10) }],
    ])
    const [newest, first] = pastCalibrations(entries, 'meter-a')
    // 18/0.95 = 18.947, 5.26 % under 20; 18/0.9 = 20
    expect(newest?.as_found_percent).toBeCloseTo(-5.263, 3)
    expect(newest?.as_left_percent).toBeCloseTo(0, 9)
    expect(newest?.as_found).toBe('within')
    expect(first).toMatchObject({ as_found_percent: null, as_found: 'no-limit' })
  })

  it('fail as found only where the uncertainty of the reference leaves no doubt', () => {
    const of = (limit: number) =>
      pastCalibrations(
        withEntries([
          [0, {}],
          [100, found(18, limit)],
        ]),
        'meter-a',
      )[0]?.as_found
    // 10 % under, u 1 %
    expect([of(5), of(10), of(15)]).toEqual(['outside', 'cannot-tell', 'within'])
  })
})

describe('batches since the last good check', () => {
  const batches = [50, 150, 250, 350].map((m) => ({ id: `b${m}`, number: `n${m}`, openedAt: atMinute(m) }))
  const doubted = (entries: ReturnType<typeof withEntries>) =>
    suspectSpans(pastCalibrations(entries, 'meter-a'), pastChecks(entries, 0)).map((span) => {
      const { kind, batches: those } = inDoubt(span, batches)
      return [kind, ...those.map((b) => b.number)]
    })

  it('are those between the calibration before and the one that found the meter off', () => {
    expect(
      doubted(
        withEntries([
          [0, {}],
          [100, {}],
          [300, found(18, 5)],
        ]),
      ),
    ).toEqual([['dissolved-ozone-meter', 'n150', 'n250']])
    expect(
      doubted(
        withEntries([
          [0, {}],
          [300, found(20, 5)],
        ]),
      ),
    ).toEqual([])
  })

  it('go on after a failed check until the meter is calibrated', () => {
    const failed = [200, { kind: 'dissolved-ozone-meter', outcome: 'outside' }] as const
    expect(doubted(withEntries([[100, {}]], [failed]))).toEqual([
      ['dissolved-ozone-meter', 'n150', 'n250', 'n350'],
    ])
    expect(
      doubted(
        withEntries(
          [
            [100, {}],
            [300, {}],
          ],
          [failed],
        ),
      ),
    ).toEqual([['dissolved-ozone-meter', 'n150', 'n250']])
  })

  it('of a thermometer are not mended by a calibration of the ozone meter', () => {
    const checks = [
      [100, {}],
      [200, { outcome: 'outside' }],
    ] as const
    expect(doubted(withEntries([[300, {}]], checks))).toEqual([['thermometer', 'n150', 'n250', 'n350']])
  })
})

describe('a due date', () => {
  it('is overdue once it has passed; without one nothing is', () => {
    const dueMs = Date.parse(atMinute(100))
    expect(isOverdue(atMinute(100), dueMs + 1)).toBe(true)
    expect(isOverdue(atMinute(100), dueMs)).toBe(false)
    expect(isOverdue(undefined, dueMs)).toBe(false)
  })

  it('of an older check counts no more once there is a newer', () => {
    const entries = withEntries(
      [],
      [
        [0, { due_at: atMinute(100) }],
        [150, { due_at: atMinute(900) }],
      ],
    )
    expect(pastChecks(entries, Date.parse(atMinute(200))).map((c) => c.overdue)).toEqual([false, false])
    expect(pastChecks(entries, Date.parse(atMinute(901))).map((c) => c.overdue)).toEqual([true, false])
  })
})
