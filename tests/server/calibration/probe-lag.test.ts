import { describe, expect, it } from 'vitest'
import { lagAt, stepTestsOf } from '../../../server/calibration/in-force.ts'
import type { EntryData } from '../../../server/ledger/entry.ts'
import { atMinute, newEntry, temporaryLedger } from '../../support/entries.ts'
import { CALIBRATED, measuredBatch } from '../../support/measured-batch.ts'

const tested = (minute: number, tau_s: number, u_tau_s: number): EntryData<'step-test'> => ({
  instrument: 'meter-a',
  channel: 'dissolved-ozone',
  from: atMinute(minute - 2),
  to: atMinute(minute),
  tau_s,
  u_tau_s,
  area_tau_s: tau_s,
  began_s: 0,
  readings: 120,
})
const FREE = { bench: null, batch: null }

const lags = () => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('step-test', 10, tested(10, 12, 0.5), FREE))
  ledger.append(newEntry('step-test', 3000, tested(3000, 15, 0.6), FREE))
  ledger.append(newEntry('step-test', 3010, tested(3010, 16, 0.4), FREE))
  ledger.append(newEntry('step-test', 3020, tested(3020, 17, 0.5), FREE))
  ledger.append(newEntry('step-test', 0, { ...tested(0, 99, 1), channel: 'fluid-temperature' }, FREE))
  const stepTests = stepTestsOf([...ledger.all()], 'meter-a', 'dissolved-ozone')
  return (minute: number, data?: Partial<EntryData<'calibration'>>) => {
    const at = atMinute(20)
    const by = data && { at, enteredAt: at, data: { ...CALIBRATED, ...data } }
    return lagAt(by, stepTests, Date.parse(atMinute(minute)))
  }
}

describe('the response time that counts', () => {
  it('is that of the newest step test not after the reading, with or without a calibration', () => {
    const lag = lags()
    expect(lag(9)).toBeUndefined()
    expect(lag(10)).toEqual({ tauS: 12, uS: 0.5 })
    expect(lag(25, {})).toEqual({ tauS: 12, uS: 0.5 })
    expect(lag(3000, {})).toEqual({ tauS: 15, uS: 0.6 })
  })

  it('is that of the calibration in force when it states one and is newer', () => {
    const lag = lags()
    expect(lag(25, { tau_s: 9, u_tau_s: 1 })).toEqual({ tauS: 9, uS: 1 })
    expect(lag(3001, { tau_s: 9, u_tau_s: 1 })).toEqual({ tauS: 15, uS: 0.6 })
    // stated without: a tenth
    expect(lag(25, { tau_s: 9 })?.uS).toBeCloseTo(0.9, 12)
  })
})

describe('step tests repeated within a day', () => {
  it('give their mean, and the larger of the scatter within and between them', () => {
    const lag = lags()
    // 15 and 16: sd 0.7071; 15, 16, 17: sd 1
    expect(lag(3010)?.tauS).toBeCloseTo(15.5, 12)
    expect(lag(3010)?.uS).toBeCloseTo(Math.SQRT1_2, 12)
    expect(lag(3020)).toEqual({ tauS: 16, uS: 1 })
  })
})

describe('a step test on record', () => {
  it('reaches the kinetics and the screen of a batch, though no calibration states a response time', () => {
    const batch = measuredBatch([[-600, {}]], {}, { stepTests: [[-60, tested(-60, 11, 0.4)]] })
    expect(batch.read().input.probeLag).toEqual({ tauS: 11, uS: 0.4 })
    expect(batch.live().view().potency.lag_s).toBe(11)
  })

  it('made in the middle of a batch leaves the readings before it as they were told', () => {
    const batch = measuredBatch(
      [[-600, { tau_s: 9, u_tau_s: 1 }]],
      {},
      { stepTests: [[4, tested(4, 11, 0.4)]] },
    )
    // the newest with the larger uncertainty of the two
    expect(batch.read().input.probeLag).toEqual({ tauS: 11, uS: 1 })
  })

  it('counts where nothing is calibrated', () => {
    const batch = measuredBatch([], {}, { stepTests: [[-60, tested(-60, 11, 0.4)]] })
    expect(batch.read().input.probeLag).toEqual({ tauS: 11, uS: 0.4 })
    expect(batch.read().input.calibration).toBeUndefined()
  })
})
