import { describe, expect, it } from 'vitest'
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

describe('a reference value as asked for', () => {
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
