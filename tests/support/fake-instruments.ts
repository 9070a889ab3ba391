import type { Instrument } from '../../server/wire.ts'
import { iso } from './fake-bench.ts'

export const instruments = (now: number): Instrument[] => [
  {
    instrument: 'meter-a',
    bench: 'A',
    port: 'usb-a',
    channels: [
      { channel: 'dissolved-ozone', unit: 'mg/L', last_value: 18.2, last_at: iso(now - 1000) },
      { channel: 'fluid-temperature', unit: '°C', last_value: 8.4, last_at: iso(now - 1000) },
    ],
    calibration: {
      at: iso(now - 12 * 86_400_000),
      method: 'indigo, dye lot 7',
      due_at: iso(now - 86_400_000),
      overdue: true,
      fluid: 'distilled',
    },
    response: { tau_s: 13.2, u_tau_s: 0.4, at: iso(now - 5 * 86_400_000), by: 'step-test' },
    step_tests: [
      {
        at: iso(now - 5 * 86_400_000),
        entered_at: iso(now - 5 * 86_400_000 + 20_000),
        by: 'M. Example',
        tau_s: 13.2,
        u_tau_s: 0.4,
        area_tau_s: 13.6,
        readings: 88,
        moved_from: 'saline without ozone',
        moved_to: 'saline with ozone',
      },
    ],
    history: pastCalibrations(now),
    checks: [
      {
        at: iso(now - 3 * 86_400_000),
        entered_at: iso(now - 2 * 86_400_000),
        by: 'M. Example',
        kind: 'thermometer',
        instrument: 'meter-a',
        reference: 'ice bath',
        unit: '°C',
        expected: 0,
        found: 0.7,
        left: 0.1,
        u: 0.05,
        change: 0.4,
        bench: null,
        limit: 0.5,
        outcome: 'outside',
        outcome_left: 'within',
        due_at: iso(now + 27 * 86_400_000),
        overdue: false,
      },
    ],
    in_doubt: [
      {
        kind: 'thermometer',
        failed_at: iso(now - 3 * 86_400_000),
        good_since: iso(now - 12 * 86_400_000),
        batches: [{ id: '01900000-0000-7000-8000-000000000001', number: 'A-2026-03-14-1' }],
      },
    ],
  },
  {
    instrument: 'meter-b',
    bench: 'B',
    port: 'usb-b',
    channels: [{ channel: 'dissolved-ozone', unit: 'mg/L', last_value: null, last_at: null }],
    calibration: null,
    response: null,
    step_tests: [],
    history: [],
    checks: [],
    in_doubt: [],
  },
]

export const pastCalibrations = (now: number): Instrument['history'] =>
  [12, 42, 73].map((days, i) => ({
    at: iso(now - days * 86_400_000),
    entered_at: iso(now - days * 86_400_000 + (i === 1 ? 86_400_000 : 0)),
    by: 'M. Example',
    method: `indigo, dye lot ${7 - i}`,
    reference_method: 'indigo',
    slope: 0.98 - 0.02 * i,
    u_slope_percent: 3,
    zero: 0.05 + 0.03 * i,
    u_zero: 0.1,
    tau_s: 13,
    temperature_c: 20,
    compensation: i === 0 ? 'membrane-and-solubility' : null,
    fluid: 'distilled',
    certificate: i === 0 ? 'EX 4471' : null,
    due_at: iso(now - (days - 30) * 86_400_000),
    as_found_percent: i === 2 ? null : -4.2 + 3 * i,
    as_left_percent: i === 2 ? null : 0.4,
    as_found: i === 2 ? ('no-limit' as const) : ('within' as const),
    linearity: i === 0 ? { word: 'within' as const, furthest_percent: 0.8, u_percent: 0.4 } : null,
    references:
      i === 0
        ? [
            'indigo, dye lot 7, 100 · (0.4 ± 0.002 − 0.25 ± 0.002) / (f 0.42 ± 0.008 · 1 ± 0.005 cm · 2 ± 0.01 mL) = 17.86 ± 0.49 mg/L',
          ]
        : [],
  }))
