import { describe, expect, it } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import { calibrationsOf, inForceAt } from '../../../server/calibration/in-force.ts'
import { calibratedEnvelope } from '../../../server/report/calibrated-envelope.ts'
import { atMinute, newEntry, temporaryLedger } from '../../support/entries.ts'
import { CALIBRATED, measuredBatch } from '../../support/measured-batch.ts'

describe('the calibration in force', () => {
  it('is the newest not after the reading, and of two of one moment the one entered later', () => {
    const { ledger } = temporaryLedger()
    const enter = (happened_at: string, slope: number) =>
      ledger.append(
        newEntry('calibration', 0, { ...CALIBRATED, slope }, { happened_at, bench: null, batch: null }),
      )
    enter('2026-03-14T09:10:00Z', 1.1)
    enter('2026-03-14T09:00:00.000Z', 1.0)
    enter('2026-03-14T09:10:00.000Z', 1.2)
    const own = calibrationsOf([...ledger.all()], 'meter-a', 'dissolved-ozone')
    const slopeAt = (at: string) => inForceAt(own, Date.parse(at))?.data.slope
    expect(slopeAt('2026-03-14T08:59:59.999Z')).toBeUndefined()
    expect(slopeAt('2026-03-14T09:00:00Z')).toBe(1.0)
    expect(slopeAt('2026-03-14T09:09:59.999Z')).toBe(1.0)
    expect(slopeAt('2026-03-14T09:10:00Z')).toBe(1.2)
    expect(calibrationsOf([...ledger.all()], 'meter-b', 'dissolved-ozone')).toEqual([])
  })
})

describe('a calibration entered in the middle of a batch', () => {
  const twice = () =>
    measuredBatch([
      [-600, { slope: 1, zero: 0, u_slope_percent: 2, u_zero: 0.1, tau_s: 9, u_tau_s: 1 }],
      [4, { slope: 0.8, zero: 2, u_slope_percent: 3, u_zero: 0.04, tau_s: 10, u_tau_s: 0.5 }],
    ])

  it('changes the readings after it and none before, and no stored one', () => {
    const { valueAt, store } = twice()
    expect(valueAt(2)).toBe(20)
    expect(valueAt(3.95)).toBe(20)
    // (20 − 2)/0.8
    expect(valueAt(4)).toBe(22.5)
    expect(valueAt(5.5)).toBe(22.5)
    const series = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const
    const stored = store.rangeNow(series, timeUs(0), timeUs(4e15))
    expect(stored.length).toBe(421)
    expect(stored.every((r) => r.value === 20)).toBe(true)
  })

  it('stands on the record beside the one before it, each with the readings it was in force for', () => {
    const used = twice().read().tally.all()
    expect(used.map((u) => [u.by.data.slope, u.readings])).toEqual([
      [1, 180],
      [0.8, 121],
    ])
  })

  it('gives the larger uncertainty of the two, of slope and of zero each', () => {
    const { input } = twice().read()
    expect(input.calibration?.uRelative).toBeCloseTo(0.03, 12)
    // 0.1/1 against 0.04/0.8
    expect(input.calibration?.uZeroMgPerL).toBeCloseTo(0.1, 12)
    expect(input.probeLag).toEqual({ tauS: 10, uS: 1 })
  })

  it('gives the bench on screen the same numbers as the record', () => {
    const batch = twice()
    const live = batch.live()
    expect([...live.potency.values.view()]).toEqual([...batch.read().input.potencyMgPerL])
    expect(live.view().potency).toMatchObject({
      value_mg_l: 22.5,
      calibration: { at: atMinute(4) },
      lag_s: 10,
    })
  })

  it('leaves the batch uncalibrated when it was the first: its earlier readings had none', () => {
    const { read, valueAt } = measuredBatch([[4, { slope: 0.8, zero: 2 }]])
    expect([valueAt(3), valueAt(5)]).toEqual([20, 22.5])
    expect(read().input.calibration).toBeUndefined()
    expect(read().tally.uncalibrated).toBe(180)
  })

  it('is in time when it comes after the opening and before ozone-on', () => {
    expect(measuredBatch([[0.5, { slope: 0.8, zero: 2 }]]).read().input.calibration).toBeDefined()
  })

  it('cuts the chart’s envelope where it begins, so that no point mixes the two', () => {
    const { store, ledger, batch } = twice()
    const sources = { store, ledger, reports: { batches: () => [batch] } }
    const span = {
      fromUs: timeUs(Date.parse(atMinute(1)) * 1000),
      toUs: timeUs(Date.parse(atMinute(6)) * 1000),
    }
    const wanted = { bench: 'A', channel: 'dissolved-ozone', points: 3, ...span }
    const { points, calibrated } = calibratedEnvelope(wanted, sources)
    expect(calibrated).toBe(true)
    expect(points.length).toBeGreaterThanOrEqual(2)
    for (const point of points) {
      const value = point.time_us < Date.parse(atMinute(4)) * 1000 ? 20 : 22.5
      expect([point.min, point.max]).toEqual([value, value])
    }
    expect(points.reduce((n, p) => n + p.count, 0)).toBe(300)
  })
})

describe('a calibration dated before the batch', () => {
  it('changes every reading of it, whenever it is entered', () => {
    const { valueAt, read } = measuredBatch([[-600, { slope: 0.8, zero: 2 }]])
    expect([valueAt(0), valueAt(3), valueAt(5.9)]).toEqual([22.5, 22.5, 22.5])
    expect(read().input.calibration).toEqual({ uRelative: 0.02, uZeroMgPerL: 0.1 / 0.8 })
  })
})

describe('a membrane probe in another fluid than it was calibrated in', () => {
  const membrane = { senses: 'activity', fluid: 'distilled' } as const

  it('reads 0.953 of what it shows in 0.9 % saline at 20 °C, on screen and on the record', () => {
    const batch = measuredBatch([[-600, membrane]])
    expect(batch.valueAt(3) / 20).toBeCloseTo(0.953, 3)
    expect(batch.live().view().potency.value_mg_l).toBe(batch.valueAt(6))
    expect([...batch.live().potency.values.view()]).toEqual([...batch.read().input.potencyMgPerL])
    // 2 % of the slope and 3.2 % of the factor, whose lowest defensible value is 0.90
    expect(batch.read().input.calibration?.uRelative).toBeCloseTo(Math.hypot(0.02, 0.032), 3)
  })

  it('is not calibrated for a fluid whose salt is not known: shown as sent, and said so', () => {
    const batch = measuredBatch([[-600, membrane]], { fluid: 'other', fluid_detail: 'Ringer' })
    expect(batch.valueAt(3)).toBe(20)
    expect(batch.read().input.calibration).toBeUndefined()
    expect(batch.read().tally.notForThisFluid).toBe(301)
    expect(batch.live().view().potency).toMatchObject({
      calibration: null,
      uncalibrated_why: expect.stringContaining('not for this fluid'),
    })
  })
})
