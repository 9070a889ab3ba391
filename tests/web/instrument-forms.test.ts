import { describe, expect, it } from 'vitest'
import { checkTyped as acceptedCheck } from '../../server/ledger/calibration-entry.ts'
import { referenceWanted, stepEntered } from '../../server/wire/calibration-schema.ts'
import type { Reference } from '../../server/wire.ts'
import { instantOf } from '../../server/wording/site-clock.ts'
import { calibrationTyped, EMPTY_CALIBRATION, withSample } from '../../web/typed/calibration-typed.ts'
import { checkTyped, EMPTY_CHECK, withIcePoint, withKind } from '../../web/typed/check-typed.ts'
import { momentTyped } from '../../web/typed/moment-typed.ts'
import { pointsTyped, sampleOf } from '../../web/typed/point-typed.ts'
import { EMPTY_SAMPLE, type SampleText, sampleTyped } from '../../web/typed/sample-typed.ts'
import { EMPTY_STEP, spanTyped, stepEntry } from '../../web/typed/step-typed.ts'

const NOW = Date.parse('2026-03-14T12:00:00Z')
const why = (typed: { readonly kind: string; readonly why?: string }) => typed.why ?? typed.kind

describe('a moment typed by the site’s clock', () => {
  it('is that of the zone, on both sides of a change to daylight saving time', () => {
    // Lisbon is on UTC until 29 March 2026, 01:00, then an hour ahead
    expect(instantOf('Europe/Lisbon', '2026-03-14T09:30')).toBe(Date.parse('2026-03-14T09:30:00Z'))
    expect(instantOf('Europe/Lisbon', '2026-03-30T09:30:15')).toBe(Date.parse('2026-03-30T08:30:15Z'))
    expect(instantOf('Asia/Kolkata', '2026-03-14T09:30')).toBe(Date.parse('2026-03-14T04:00:00Z'))
    for (const text of ['', '2026-03-14', '09:30', 'yesterday'])
      expect(instantOf('UTC', text), text).toBeNull()
  })

  it('may be left empty for now, and is refused ahead of now or when it is half a moment', () => {
    expect(momentTyped('UTC', '', NOW)).toEqual({ kind: 'data', data: undefined })
    expect(momentTyped('UTC', '2026-03-14T11:59:59', NOW)).toEqual({
      kind: 'data',
      data: '2026-03-14T11:59:59.000Z',
    })
    expect(why(momentTyped('UTC', '2026-03-14T12:00:01', NOW))).toMatch(/future/)
    expect(why(momentTyped('UTC', '2026-03-14', NOW))).toMatch(/in full/)
  })
})

const INDIGO: SampleText = {
  ...EMPTY_SAMPLE,
  method: 'indigo',
  blank: '0,4',
  u_blank: '0.002',
  sample: '0.25',
  u_sample: '0.002',
  path: '1',
  u_path: '0',
  ml: '2',
  u_ml: '0.01',
}

describe('a reference sample as typed', () => {
  it('sends what was typed and nothing that was left empty, in the form the server takes', () => {
    const typed = sampleTyped({ ...INDIGO, dye_lot: ' 8 ' })
    if (typed.kind === 'refused') throw new Error(typed.why)
    expect(referenceWanted.parse(typed.data)).toEqual({
      method: 'indigo',
      blank: { value: 0.4, u: 0.002 },
      sample: { value: 0.25, u: 0.002 },
      path_cm: { value: 1, u: 0 },
      sample_ml: { value: 2, u: 0.01 },
      dye_lot: '8',
    })
  })

  it('assumes no uncertainty, divides by no zero, and says what is missing first', () => {
    expect(why(sampleTyped(EMPTY_SAMPLE))).toBe('Choose the method.')
    expect(why(sampleTyped({ ...INDIGO, u_blank: '' }))).toBe(
      'Type the uncertainty of the absorbance of the blank; 0 where it does not matter.',
    )
    expect(why(sampleTyped({ ...INDIGO, path: '0' }))).toBe('Type the path, a number above 0.')
    // all the dye may be gone
    expect(sampleTyped({ ...INDIGO, sample: '0' }).kind).toBe('data')
    expect(why(sampleTyped({ ...INDIGO, f: '0.42' }))).toMatch(/uncertainty of f/)
    expect(why(sampleTyped({ ...INDIGO, delay: '2', u_delay: '0' }))).toMatch(/the half-life, or neither/)
    expect(why(sampleTyped({ ...EMPTY_SAMPLE, method: 'dpd' }))).toMatch(/chloride/)
    expect(why(sampleTyped({ ...EMPTY_SAMPLE, method: 'uv' }))).toMatch(/absorbance/)
  })

  it('of each other method is what the server takes', () => {
    const dpd = { chlorine: '1', u_chlorine: '0.02', dilution: '20', u_dilution: '0', in_chloride: 'no' }
    const uv = {
      absorbance: '0.6',
      u_absorbance: '0.006',
      path: '0.5',
      u_path: '0',
      epsilon: '3135',
      u_epsilon: '22',
    }
    const drawn = { delay: '2', u_delay: '0.2', half_life: '30', u_half_life: '6' }
    for (const text of [
      { ...EMPTY_SAMPLE, ...dpd, ...drawn, method: 'dpd' },
      { ...EMPTY_SAMPLE, ...uv, ...drawn, method: 'uv' },
    ]) {
      const typed = sampleTyped(text)
      if (typed.kind === 'refused') throw new Error(typed.why)
      expect(referenceWanted.parse(typed.data)).toMatchObject({
        delay_min: { value: 2, u: 0.2 },
        half_life_min: { value: 30, u: 6 },
      })
    }
  })
})

const SAMPLE = {
  method: 'uv',
  absorbance: { value: 0.6, u: 0.006 },
  path_cm: { value: 0.5, u: 0 },
  epsilon: { value: 3135, u: 22 },
} as const
const FOUND: Reference = {
  mg_l: 18.372,
  u_mg_l: 0.224,
  u_own_mg_l: 0.184,
  shared_percent: 0.7018,
  kind: 'value',
  notes: [],
  formula: '',
  lost_percent: null,
}

describe('a sample taken into a point', () => {
  const row = {
    reference: '18.372',
    u_reference: '0.184',
    shown: '18',
    u_shown: '0.1',
    taken: { sample: SAMPLE, reference: '18.372', u_reference: '0.184' },
  }

  it('goes on record with the point, until its value is typed over', () => {
    const typed = pointsTyped([row])
    expect(typed.kind === 'data' && typed.data[0]?.sample).toEqual(SAMPLE)
    expect(sampleOf({ ...row, reference: '18.4' })).toBeUndefined()
    const over = pointsTyped([{ ...row, u_reference: '0.2' }])
    expect(over.kind === 'data' && Object.keys(over.data[0] ?? {})).toEqual([
      'reference',
      'u_reference',
      'shown',
      'u_shown',
    ])
  })

  it('fills in kind of reference, ε and what samples share, and overwrites nothing but a smaller share', () => {
    const filled = withSample(EMPTY_CALIBRATION, SAMPLE, FOUND)
    expect(filled).toMatchObject({
      reference_method: 'uv',
      method: 'UV absorption',
      epsilon: '3135',
      u_reference: '0.702',
    })
    const kept = withSample({ ...EMPTY_CALIBRATION, method: 'by hand', u_reference: '3' }, SAMPLE, FOUND)
    expect(kept).toMatchObject({ method: 'by hand', u_reference: '3' })
  })
})

describe('a calibration of a membrane probe', () => {
  it('needs the temperature of the fluid', () => {
    const text = {
      ...EMPTY_CALIBRATION,
      channel: 'dissolved-ozone',
      slope: '1',
      zero: '0',
      u_slope: '1',
      u_zero: '0',
      method: 'indigo',
      senses: 'activity',
    }
    expect(why(calibrationTyped('meter-a', text))).toMatch(/^Type the temperature of the fluid/)
    expect(calibrationTyped('meter-a', { ...text, temperature: '20' }).kind).toBe('data')
    expect(calibrationTyped('meter-a', { ...text, senses: 'concentration' }).kind).toBe('data')
  })
})

describe('a step test as marked', () => {
  const span = (from: string, to: string) => spanTyped('meter-a', { ...EMPTY_STEP, from, to }, 'UTC', NOW)

  it('needs two marks in their order, none ahead of now', () => {
    expect(why(span('', ''))).toMatch(/the probe was moved/)
    expect(why(span('2026-03-14T11:00:00', ''))).toMatch(/stood still/)
    expect(why(span('2026-03-14T11:00:00', '2026-03-14T11:00:00'))).toMatch(/before/)
    expect(why(span('2026-03-14T11:00:00', '2026-03-14T12:00:02'))).toMatch(/future/)
  })

  it('says where the probe was moved only where that was typed', () => {
    const found = span('2026-03-14T11:00:00', '2026-03-14T11:02:00')
    if (found.kind === 'refused') throw new Error(found.why)
    const data = stepEntry(found.data, { ...EMPTY_STEP, moved_to: 'saline' })
    const id = '01900000-0000-7000-8000-00000000a001'
    expect(stepEntered.parse({ id, who: 'Ines', data }).data).toEqual({
      instrument: 'meter-a',
      channel: 'dissolved-ozone',
      from: '2026-03-14T11:00:00.000Z',
      to: '2026-03-14T11:02:00.000Z',
      moved_to: 'saline',
    })
  })
})

describe('a check of an instrument', () => {
  it('gets the usual unit of its kind, and keeps another that was typed', () => {
    expect(withKind(EMPTY_CHECK, 'barometer').unit).toBe('kPa')
    expect(withKind({ ...EMPTY_CHECK, unit: 'kPa' }, 'thermometer').unit).toBe('°C')
    expect(withKind({ ...EMPTY_CHECK, unit: 'hPa' }, 'thermometer').unit).toBe('hPa')
  })

  it('at the ice point is filled in, and may say how it was left', () => {
    const text = {
      ...withIcePoint(withKind(EMPTY_CHECK, 'thermometer')),
      instrument: 'T 3',
      found: '0.4',
      left: '0,0',
      limit: '0.5',
      bench: 'A',
    }
    const typed = checkTyped(text)
    if (typed.kind === 'refused') throw new Error(typed.why)
    expect(acceptedCheck.parse(typed.data)).toMatchObject({
      unit: '°C',
      expected: 0,
      u_expected: 0.02,
      found: 0.4,
      left: 0,
      bench: 'A',
    })
    expect(why(checkTyped({ ...text, left: 'cold' }))).toMatch(/as left/)
  })
})
