import { describe, expect, it } from 'vitest'
import { checkSamples } from '../../../server/calibration/point-samples.ts'
import { referenceValue } from '../../../server/calibration/reference-value.ts'
import { calibration, ENTRY_DATA } from '../../../server/ledger/entry.ts'
import { GENESIS, hashOf, type Unhashed } from '../../../server/ledger/hash-chain.ts'
import { CALIBRATED } from '../../support/measured-batch.ts'

describe('a calibration entry', () => {
  const old = {
    instrument: 'meter-a',
    channel: 'dissolved-ozone',
    slope: 0.98,
    zero: 0.05,
    u_slope_percent: 3,
    u_zero: 0.1,
    tau_s: 13,
    method: 'indigo',
    fluid: 'distilled',
  }

  it('made before it could say more is still valid and keeps its hash', () => {
    const entry = {
      id: '01900000-0000-7000-8000-00000000000b',
      seq: 1,
      happened_at: '2026-03-01T09:00:00.000Z',
      entered_at: '2026-03-01T09:00:00.000Z',
      bench: null,
      batch: null,
      who: { name: 'Ines', how: 'typed' },
      why: null,
      kind: 'calibration',
      data: calibration.parse(old),
      prev: GENESIS,
    } as Unhashed
    // python3: json.dumps(entry, sort_keys=True, separators=(',', ':'), ensure_ascii=False), sha256 of its UTF-8
    expect(hashOf(entry)).toBe('0aaaec1a8a98c4c203399c4f6c58e8a0b96e624a2a87b33f78b00e14a1fe52d3')
  })

  it('takes what it was computed from, and nothing it does not know', () => {
    const full = {
      ...CALIBRATED,
      fluid: 'saline',
      temperature_c: 20,
      stirred: 'stirred',
      compensation: 'membrane',
      reference_method: 'indigo',
      u_reference_percent: 5,
      dye_lot: '7',
      f_l_per_mg_cm: 0.42,
      certificate: 'EX 4471',
      limit_percent: 5,
      as_found: { shown: 19, reference: 20 },
      as_left: { shown: 20, reference: 20 },
      due_at: '2026-06-01T00:00:00.000Z',
      points: [{ reference: 20, u_reference: 0.4, shown: 19, u_shown: 0.1 }],
    }
    expect(ENTRY_DATA.calibration.parse(full)).toEqual(full)
    expect(() => calibration.parse({ ...full, colour: 'blue' })).toThrow()
  })
})

const SAMPLE = {
  method: 'indigo',
  blank: { value: 0.4, u: 0.002 },
  sample: { value: 0.25, u: 0.002 },
  path_cm: { value: 1, u: 0 },
  sample_ml: { value: 2, u: 0.01 },
  total_ml: { value: 102, u: 0 },
} as const

describe('a reference point with its sample', () => {
  const point = { reference: 17.262, u_reference: 0.351, shown: 17, u_shown: 0.1 }

  it('is taken when the value is the one the sample gives', () => {
    // by hand: 14.5/0.84; u: √(0.2² + 0.204²)/0.84 = 0.3401 and 0.5 % of it 0.0863
    expect(() => checkSamples([{ ...point, sample: SAMPLE }])).not.toThrow()
    expect(() => checkSamples([{ ...point, reference: 99 }])).not.toThrow()
  })

  it('is refused when it is another, with both', () => {
    expect(() => checkSamples([{ ...point, reference: 17.4, sample: SAMPLE }])).toThrow(
      /^point 1 says 17\.4 ± 0\.351 mg\/L, its sample gives 17\.262 ± 0\.351$/,
    )
  })

  it('is refused when the sample gives only a bound', () => {
    const bleached = { ...SAMPLE, sample: { value: 0.02, u: 0.002 } }
    expect(() => checkSamples([point, { ...point, sample: bleached }])).toThrow(/^point 2 rests on a sample/)
    const dpd = {
      method: 'dpd',
      chlorine: { value: 1, u: 0.02 },
      dilution: { value: 20, u: 0 },
      in_chloride: true,
    } as const
    expect(() => checkSamples([{ ...point, sample: dpd }])).toThrow(/at most this/)
  })
})

describe('a reference value as asked for', () => {
  it('keeps apart what all samples with the same f or ε share', () => {
    const found = referenceValue(SAMPLE)
    // f 0.42 ± 0.021 where none was measured
    expect(found.shared_percent).toBeCloseTo(5, 12)
    expect(found.u_mg_l ** 2).toBeCloseTo(found.u_own_mg_l ** 2 + (0.05 * found.mg_l) ** 2, 9)
    const uv = referenceValue({
      method: 'uv',
      absorbance: { value: 0.6, u: 0.006 },
      path_cm: { value: 0.5, u: 0 },
      epsilon: { value: 3135, u: 22 },
      delay_min: { value: 2, u: 0 },
      half_life_min: { value: 30, u: 0 },
    })
    // 22/3135; 47 998·0.6/(3135·0.5) = 18.372, over 2^(−2/30) = 19.241, of which 1 %
    expect(uv.shared_percent).toBeCloseTo(0.7018, 4)
    expect(uv.mg_l).toBeCloseTo(19.241, 2)
    expect(uv.u_own_mg_l).toBeCloseTo(0.1924, 3)
  })

  it('shows the formula with what went in, and adds back what decay took since the draw', () => {
    const found = referenceValue({
      method: 'indigo',
      blank: { value: 0.4, u: 0 },
      sample: { value: 0.25, u: 0 },
      path_cm: { value: 1, u: 0 },
      sample_ml: { value: 2, u: 0 },
      total_ml: { value: 102, u: 0 },
      f: { value: 0.42, u: 0 },
      delay_min: { value: 2, u: 0 },
      half_life_min: { value: 30, u: 0 },
    })
    expect(found.formula).toBe('(100 · 0.4 ± 0 − 0.25 ± 0 · 102 ± 0 mL) / (f 0.42 ± 0 · 1 ± 0 cm · 2 ± 0 mL)')
    expect(found.lost_percent).toBeCloseTo(4.516, 3)
    // 17.262/0.95484
    expect(found.mg_l).toBeCloseTo(18.078, 3)
  })
})
