import { describe, expect, it } from 'vitest'
import { timeUs } from '../../../ingest/units.ts'
import { correctionOf, UNCORRECTED } from '../../../server/calibration/correction.ts'
import { calibrationsOf } from '../../../server/calibration/in-force.ts'
import { foldBatch } from '../../../server/ledger/batch.ts'
import type { Ledger } from '../../../server/ledger/ledger.ts'
import { ChannelMemory, type Corrections } from '../../../server/live/bench-memory.ts'
import { takeSpot } from '../../../server/spot/take-spot.ts'
import { atMinute, newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const START_MS = Date.parse(atMinute(0))
const at = (s: number): number => START_MS + 1000 * s

/** A meter that shows 18.0 or 18.1 mg/L, a reading a second. */
const memoryOf = (seconds: number, corrections?: Corrections): ChannelMemory => {
  const memory = new ChannelMemory(START_MS * 1000, corrections)
  for (let s = 0; s < seconds; s++)
    memory.add(
      {
        seq: s + 1,
        series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
        timeUs: timeUs(at(s) * 1000),
        bootId: 'b',
        monoMs: 1000 * s,
        raw: s % 2 === 0 ? 18 : 18.1,
        value: s % 2 === 0 ? 18 : 18.1,
        quality: 'good',
        movedUs: 0,
      },
      0,
    )
  return memory
}

const CALIBRATION = {
  instrument: 'm',
  channel: 'dissolved-ozone',
  slope: 0.9,
  zero: 0.2,
  u_slope_percent: 2,
  u_zero: 0.05,
  tau_s: 4,
  u_tau_s: 0.4,
  method: 'indigo',
}

const opened = (): Ledger => {
  const { ledger } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, { ...OPENED, measuring_place: 'dipped' }))
  return ledger
}

const take = (ledger: Ledger, asked: { fromMs: number; toMs: number }, calibrated = false) => {
  const batch = foldBatch([...ledger.all()])
  if (!batch) throw new Error('no batch')
  const entry = {
    happened_at: atMinute(-1),
    entered_at: atMinute(-1),
    kind: 'calibration',
    data: CALIBRATION,
  }
  const own = calibrated ? calibrationsOf([entry as never], 'm', 'dissolved-ozone') : []
  const correction = calibrated ? correctionOf(own, undefined) : UNCORRECTED
  const memory = memoryOf(200, { correction, countFromS: Number.NEGATIVE_INFINITY })
  const correcting = correction(asked.toMs, undefined)
  return takeSpot({ batch, memory, instrument: 'm', intervalS: 1, noise: undefined, correcting }, asked)
}

describe('a spot reading from the meter’s stored readings', () => {
  it('keeps the calibration’s uncertainty apart, and the value as the meter sent it', () => {
    const told = take(opened(), { fromMs: at(60), toMs: at(160) }, true)
    if (told.kind !== 'settled') throw new Error(told.kind)
    const { data } = told
    // (18.05 − 0.2)/0.9; 2 % of it and 0.05/0.9 of the zero
    expect(data.value_mg_l).toBeCloseTo(19.833, 2)
    expect(data.as_sent_mg_l).toBeCloseTo(18.05, 2)
    expect(data.calibration?.u_mg_l).toBeCloseTo(Math.hypot(0.02 * 19.833, 0.05 / 0.9), 3)
    const { u_scatter_mg_l, u_resolution_mg_l, u_settling_mg_l, u_response_mg_l, u_mg_l } = data
    expect(u_mg_l).toBeCloseTo(
      Math.hypot(u_scatter_mg_l, u_resolution_mg_l, u_settling_mg_l, u_response_mg_l),
      3,
    )
    // the display goes in steps of 0.1 mg/L, calibrated 0.1/0.9
    expect(u_resolution_mg_l).toBeCloseTo(0.1 / 0.9 / Math.sqrt(12), 3)
    expect(data).toMatchObject({ window_s: 30, waited_s: 100, tau_s: 4 })
  })

  it('is dated to the fluid it shows: the middle of its window, less the response time', () => {
    const told = take(opened(), { fromMs: at(60), toMs: at(160) }, true)
    // readings at 131 to 160 s; their middle is 145.5 s, the fluid that of 4 s before
    expect(told.kind === 'settled' && Date.parse(told.happenedAt)).toBeCloseTo(at(141.5), -1)
  })

  it('is refused while the probe is marked as out', () => {
    const ledger = opened()
    ledger.append(newEntry('probe-out', 1, {}))
    expect(take(ledger, { fromMs: at(60), toMs: at(160) })).toEqual({ kind: 'probe-out' })
  })

  it('counts from “Probe in” where that was entered for it, else from the tap', () => {
    const soon = { fromMs: at(120), toMs: at(130) }
    expect(take(opened(), soon, true).kind).toBe('settling')
    const ledger = opened()
    ledger.append(newEntry('probe-out', 0.2, {}))
    ledger.append(newEntry('probe-in', 1, {}))
    const told = take(ledger, soon, true)
    expect(told.kind).toBe('settled')
    if (told.kind !== 'settled') return
    // the next reading needs a mark of its own: this one is used up
    ledger.append(newEntry('spot-reading', 2, told.data))
    expect(take(ledger, { fromMs: at(140), toMs: at(150) }, true).kind).toBe('settling')
  })

  it('says uncalibrated where no calibration is on file, and waits for the slope', () => {
    expect(take(opened(), { fromMs: at(60), toMs: at(100) })).toMatchObject({ kind: 'settling' })
    const told = take(opened(), { fromMs: at(60), toMs: at(160) })
    expect(told).toMatchObject({ kind: 'settled', data: { calibration: null, tau_s: null } })
  })
})
