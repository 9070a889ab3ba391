import { describe, expect, it } from 'vitest'
import { provenSince } from '../../../server/trial/proven-since.ts'
import { trialView } from '../../../server/trial/trial-view.ts'
import { atMinute } from '../../support/entries.ts'
import { PREP_PLAN } from '../../support/trial.ts'
import { facts, memberOf, trialOf } from '../../support/trial-facts.ts'

/** Five batches that rest on meter-a, slope 1.02 known to 2 %. */
const members = [1, 2, 3, 4, 5].map((n) => memberOf(PREP_PLAN, facts(n)))
const LAST_MS = Date.parse(atMinute(500))
const DAY_MS = 86_400_000

const calibrated = (minute: number, slope: number, changes: object = {}) => ({
  happened_at: atMinute(minute),
  data: {
    ...{
      instrument: 'meter-a',
      channel: 'dissolved-ozone' as const,
      slope,
      zero: 0,
      u_slope_percent: 2,
      u_zero: 0.1,
    },
    ...{
      tau_s: 9,
      u_tau_s: 1,
      method: 'indigo',
      fluid: 'distilled' as const,
      senses: 'concentration' as const,
    },
    ...changes,
  },
})

describe('what casts doubt on a trial after it', () => {
  it('is nothing while nothing happened', () => {
    expect(provenSince(members, [calibrated(-60, 1.02)], LAST_MS + 364 * DAY_MS)).toEqual([])
    expect(provenSince([], [], LAST_MS)).toEqual([])
  })

  it('is a year since the last of its batches', () => {
    const [said, ...more] = provenSince(members, [], LAST_MS + 366 * DAY_MS)
    expect(said).toBe('the last batch, on 2026-03-12, is over a year old')
    expect(more).toEqual([])
  })

  it('is a calibration of its meter that moved it by more than both leave open, and only that', () => {
    // 2 % and 2 % in quadrature, doubled: 5.7 %; 1.02 to 1.09 is 6.9 %, to 1.07 is 4.9 %
    expect(provenSince(members, [calibrated(900, 1.09)], LAST_MS)).toEqual([
      expect.stringMatching(
        /^meter-a was calibrated on \d{4}-\d\d-\d\d and moved by 6\.9 %, more than the ± 5\.7 %/,
      ),
    ])
    expect(provenSince(members, [calibrated(900, 1.07)], LAST_MS)).toEqual([])
    expect(provenSince(members, [calibrated(900, 1.2, { instrument: 'meter-b' })], LAST_MS)).toEqual([])
    expect(provenSince(members, [calibrated(900, 1.2, { channel: 'fluid-temperature' })], LAST_MS)).toEqual(
      [],
    )
    // one between that was moved back again since
    expect(provenSince(members, [calibrated(900, 1.2), calibrated(950, 1.03)], LAST_MS)).toEqual([])
    expect(provenSince(members, [calibrated(-90, 1.2)], LAST_MS)).toEqual([])
  })

  it('stands with what the control charts show', () => {
    const { result } = trialView(trialOf(PREP_PLAN), members, [], ['a year has passed'])
    expect(result.detail).toMatchObject({ revalidate_now: expect.arrayContaining(['a year has passed']) })
  })
})
