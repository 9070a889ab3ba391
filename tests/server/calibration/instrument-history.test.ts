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

describe('checks one after the other', () => {
  const of = (...checks: [number, Partial<EntryData<'instrument-check'>>][]) =>
    pastChecks(withEntries([], checks), 0)

  it('tell how far the instrument drifted since the check before, from where that one left it', () => {
    const found = of(
      [0, { found: 0.1 }],
      [100, { found: 0.4, left: 0 }],
      [200, { found: 0.15 }],
      [300, { found: 0.2, unit: 'K' }],
    )
    const changes = found.map((c) => (c.change === null ? null : Number(c.change.toFixed(9))))
    // 0.15 − 0, 0.4 − 0.1; another unit is not compared
    expect(changes).toEqual([null, 0.15, 0.3, null])
  })

  it('carry the uncertainty of reference and reading together', () => {
    expect(of([0, { u_expected: 0.03, u_found: 0.04 }])[0]?.u).toBeCloseTo(0.05, 12)
  })

  it('that failed and was adjusted ends the doubt by itself, if as left it is within the limit', () => {
    const failed = (outcome_left: 'within' | 'cannot-tell') =>
      suspectSpans([], of([0, {}], [100, { outcome: 'outside', left: 0, outcome_left }]))[0]
    expect(failed('within')).toMatchObject({ failedAt: atMinute(100), until: atMinute(100) })
    expect(failed('cannot-tell')).toMatchObject({ until: null })
  })
})

describe('a calibration on the sheet', () => {
  it('says where each reference value came from, and how straight three levels lie', () => {
    const sample = {
      method: 'indigo',
      blank: { value: 0.4, u: 0 },
      sample: { value: 0.25, u: 0 },
      path_cm: { value: 1, u: 0 },
      sample_ml: { value: 2, u: 0 },
      total_ml: { value: 102, u: 0 },
      f: { value: 0.42, u: 0 },
      dye_lot: '8',
    } as const
    const points = [0, 10, 20].map((reference) => ({
      reference,
      u_reference: 0.01,
      shown: reference === 10 ? 10.3 : reference,
      u_shown: 0.01,
    }))
    const third = { ...points[2], sample } as (typeof points)[number]
    const [newest] = pastCalibrations(
      withEntries([[0, { points: [...points.slice(0, 2), third], limit_percent: 2 }]]),
      'meter-a',
    )
    // least squares of (0, 0) (10, 10.3) (20, 20): zero 0.1, slope 1; the middle is off by 0.2 of 20
    expect(newest?.linearity?.furthest_percent).toBeCloseTo(1, 6)
    expect(newest?.linearity?.word).toBe('within')
    expect(newest?.references).toHaveLength(1)
    expect(newest?.references[0]).toMatch(/^indigo, dye lot 8, .*f 0\.42.* = 17\.26 ± 0\.00 mg\/L$/)
  })

  it('finds as found at the temperature and in the fluid of the new calibration', () => {
    const membrane = { senses: 'activity', fluid: 'distilled', compensation: 'membrane' } as const
    const of = (temperature_c: number) =>
      pastCalibrations(
        withEntries([
          [0, { ...membrane, temperature_c: 20 }],
          [100, { ...membrane, temperature_c, as_found: { shown: 17.04, reference: 20 } }],
        ]),
        'meter-a',
      )[0]?.as_found_percent
    expect(of(20)).toBeCloseTo(-14.8, 1)
    // 17.04 shown at 25 °C by a meter that compensates the membrane only: times 0.85199, 14.518
    expect(of(25)).toBeCloseTo(-27.41, 1)
    expect(of(50)).toBeNull()
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
