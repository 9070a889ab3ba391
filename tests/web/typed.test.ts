import { describe, expect, it } from 'vitest'
import { checkTyped as acceptedCheck } from '../../server/ledger/calibration-entry.ts'
import { batchOpened, calibration } from '../../server/ledger/entry.ts'
import { act } from '../../server/wire/request-schema.ts'
import { actOf, behindProgram } from '../../web/acting.ts'
import { batchDetails, EMPTY_PLAN, type Plan } from '../../web/batch-plan.ts'
import { calibrationTyped, EMPTY_CALIBRATION } from '../../web/typed/calibration-typed.ts'
import { checkTyped, EMPTY_CHECK } from '../../web/typed/check-typed.ts'
import { EMPTY_POINT, pointsTyped } from '../../web/typed/point-typed.ts'
import { numberTyped } from '../../web/typed/typed.ts'
import { fakeEntry } from '../support/fake-entries.ts'

const ID = '01900000-0000-7000-8000-00000000a001'
const NOW = Date.parse('2026-03-04T13:00:00Z')
const PLAN: Plan = {
  ...EMPTY_PLAN,
  fluid: 'saline',
  volume_ml: '250',
  measuring_place: 'aliquot',
  purge: 'none',
}

const refusal = (plan: Plan): string => {
  const answer = batchDetails(plan)
  return answer.kind === 'refused' ? answer.why : 'not refused'
}

describe('typed numbers', () => {
  it('may have a point or a comma', () => {
    expect([' 15.5 ', '15,5', '.5', '-2', '7'].map(numberTyped)).toEqual([15.5, 15.5, 0.5, -2, 7])
  })

  it('are no number when anything else stands there', () => {
    for (const text of ['', '15 µg', '1.5.2', '1,000.5', '1e3', 'NaN', 'Infinity', '--2'])
      expect(numberTyped(text), text).toBeNull()
  })
})

describe('a new batch', () => {
  it('needs fluid, volume, measuring place and purge, and nothing else', () => {
    for (const key of ['fluid', 'volume_ml', 'measuring_place', 'purge'] as const)
      expect(refusal({ ...PLAN, [key]: '' }), key).not.toBe('not refused')
    const answer = batchDetails(PLAN)
    if (answer.kind === 'refused') throw new Error(answer.why)
    expect(batchOpened.parse(answer.data)).toEqual({
      fluid: 'saline',
      volume_ml: 250,
      measuring_place: 'aliquot',
      purge: 'none',
    })
  })

  it('never has a target that was not typed', () => {
    const answer = batchDetails(PLAN)
    expect(answer.kind === 'details' && 'target_mg_l' in answer.data).toBe(false)
  })

  it('refuses a gas value without the state it is stated for, and the other way round', () => {
    expect(refusal({ ...PLAN, gas: '60' })).toMatch(/needs the state/)
    expect(refusal({ ...PLAN, gas_reference: 'ambient' })).toMatch(/needs the state/)
  })

  it('refuses a number it cannot read instead of leaving it out', () => {
    expect(refusal({ ...PLAN, target: '15 or so' })).toMatch(/The value you set must be a number/)
    expect(refusal({ ...PLAN, prep: '0' })).toMatch(/prep time/)
    expect(refusal({ ...PLAN, lead: '1' })).toMatch(/at least 2 min/)
  })

  it('is accepted by the server in full', () => {
    const full = {
      ...PLAN,
      lot: 'L 1',
      target: '15',
      gas: '60',
      gas_reference: 'ambient',
      flow: '250',
      prep: '8',
      age_limit: '60',
      lead: '5',
    }
    const answer = batchDetails(full)
    if (answer.kind === 'refused') throw new Error(answer.why)
    expect(batchOpened.parse(answer.data)).toMatchObject({
      gas: { ug_per_ml: 60, reference: 'ambient' },
      lead_time_min: 5,
    })
  })
})

describe('an entry as sent', () => {
  const about = { id: ID, bench: 'A', who: ' M. Example ', expected_seq: 7, now_ms: NOW } as const

  it('leaves the time of "now" to the server', () => {
    const sent = actOf({ kind: 'ozone-off' }, { ...about, when: { kind: 'now' } })
    expect(sent).toEqual({
      id: ID,
      bench: 'A',
      who: 'M. Example',
      expected_seq: 7,
      entry: { kind: 'ozone-off' },
    })
  })

  it('carries the time it happened, never one in the future', () => {
    const ago = actOf({ kind: 'ozone-off' }, { ...about, when: { kind: 'ago', seconds: 30 } })
    expect(ago.happened_at).toBe('2026-03-04T12:59:30.000Z')
    const ahead = actOf({ kind: 'ozone-off' }, { ...about, when: { kind: 'at', at_ms: NOW + 5000 } })
    expect(ahead.happened_at).toBe('2026-03-04T13:00:00.000Z')
  })

  it('is accepted by the server without a name typed, and says that none was given', () => {
    const sent = actOf({ kind: 'ozone-off' }, { ...about, who: '', when: { kind: 'ago', seconds: 60 } })
    expect(act.parse(sent).who).toBe('name not given')
  })
})

describe('what came between', () => {
  const by = (how: 'program' | 'typed', seq: number) => fakeEntry(NOW, { seq, who: { name: 'x', how } })

  it('is gone behind when it was the program alone', () => {
    expect(behindProgram([by('program', 8), by('program', 9)])).toBe(9)
  })

  it('is shown and asked about as soon as a person wrote any of it, or nothing is known of it', () => {
    expect(behindProgram([by('program', 8), by('typed', 9)])).toBeNull()
    expect(behindProgram([])).toBeNull()
  })
})

describe('a calibration as typed', () => {
  const typed = {
    ...EMPTY_CALIBRATION,
    channel: 'dissolved-ozone',
    slope: '0,98',
    zero: '0',
    u_slope: '3',
    u_zero: '0.1',
    method: 'indigo',
  }

  it('is accepted by the server', () => {
    const answer = calibrationTyped('meter-a', { ...typed, tau: '13', fluid: 'distilled' })
    if (answer.kind === 'refused') throw new Error(answer.why)
    expect(calibration.parse(answer.data)).toMatchObject({ slope: 0.98, tau_s: 13, fluid: 'distilled' })
  })

  it('refuses a number typed wrong, and half a pair, where nothing at all would do', () => {
    for (const key of ['tau', 'u_tau', 'temperature', 'f', 'epsilon', 'limit', 'u_reference'] as const) {
      const answer = calibrationTyped('meter-a', { ...typed, [key]: 'abc' })
      expect(answer.kind === 'refused' && answer.why, key).toMatch(/^Type a number for /)
    }
    const half = calibrationTyped('meter-a', { ...typed, left_shown: '19' })
    expect(half.kind === 'refused' && half.why).toMatch(/as left.*or neither/)
  })

  it('takes reference points row by row and leaves empty rows out', () => {
    const row = { reference: '20', u_reference: '0,4', shown: '19', u_shown: '0' }
    expect(pointsTyped([row, EMPTY_POINT])).toEqual({
      kind: 'data',
      data: [{ reference: 20, u_reference: 0.4, shown: 19, u_shown: 0 }],
    })
    expect(pointsTyped([EMPTY_POINT]).kind).toBe('refused')
    expect(pointsTyped([row, { ...row, u_shown: '' }])).toMatchObject({
      why: expect.stringContaining('Point 2'),
    })
    expect(pointsTyped([{ ...row, u_shown: '-1' }])).toMatchObject({
      why: expect.stringContaining('below 0'),
    })
  })

  it('never assumes an uncertainty, a slope or a zero', () => {
    for (const key of ['channel', 'slope', 'zero', 'u_slope', 'u_zero', 'method'] as const)
      expect(calibrationTyped('meter-a', { ...typed, [key]: '' }).kind, key).toBe('refused')
  })
})

describe('a check as typed', () => {
  const typed = {
    ...EMPTY_CHECK,
    kind: 'thermometer',
    instrument: 'meter-a',
    reference: 'ice bath',
    unit: '°C',
    expected: '0',
    found: '0,3',
    limit: '0.5',
  }

  it('is accepted by the server', () => {
    const answer = checkTyped({ ...typed, u_found: '0.05', due: '2026-06-01' })
    if (answer.kind === 'refused') throw new Error(answer.why)
    expect(acceptedCheck.parse(answer.data)).toMatchObject({ found: 0.3, due_at: '2026-06-01T23:59:59.000Z' })
  })

  it('needs everything but the uncertainties and the date', () => {
    for (const key of ['kind', 'instrument', 'reference', 'unit', 'expected', 'found', 'limit'] as const)
      expect(checkTyped({ ...typed, [key]: '' }).kind, key).toBe('refused')
    expect(checkTyped({ ...typed, u_found: 'x' }).kind).toBe('refused')
  })
})
