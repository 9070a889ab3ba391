import type { AlarmView, BatchHead, LiveBench, Potency } from '../../server/wire.ts'

/**
 * Benches as the wire carries them, for screens to show. A stand-in for states that are hard to bring about
 * on a running system; the numbers are made, smooth and not from the program's own fits.
 */
export const BATCH_ID = '01900000-0000-7000-8000-00000000a001'

export const iso = (ms: number): string => new Date(ms).toISOString()

export const MIN = 60_000

export const fakePotency = (now: number, over: Partial<Potency> = {}): Potency => ({
  state: 'live',
  value_mg_l: 18.2,
  low_mg_l: 17.6,
  high_mg_l: 18.8,
  at: iso(now - 800),
  lag_s: null,
  age_s: 0.8,
  stale_after_s: 5,
  calibration: { at: iso(now - 12 * 86_400_000), method: 'indigo, dye lot 7' },
  why: null,
  full_scale_mg_l: 50,
  ...over,
})

export const fakeBatch = (now: number, over: Partial<BatchHead> = {}): BatchHead => ({
  id: BATCH_ID,
  number: 'A-2026-03-04-2',
  bench: 'A',
  fluid: 'saline',
  fluid_detail: null,
  lot: 'L 4471',
  volume_ml: 250,
  left_ml: 250,
  target_mg_l: 15,
  gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
  flow_ml_per_min: 250,
  prep_min: 8,
  age_limit_min: 60,
  temperature_c: null,
  lead_time_min: 5,
  measuring_place: 'in-the-flask',
  purge: 'tube-lifted-clear',
  opened_at: iso(now - 15 * MIN),
  opened_by: 'M. Example',
  ozone_on_at: [iso(now - 12 * MIN)],
  ozone_off_at: [],
  flow_off_at: [],
  discarded_at: null,
  simulated: false,
  phase: { kind: 'bubbling', since: iso(now - 12 * MIN) },
  seq: 7,
  missing: [],
  method_sheet: null,
  bubbled_again: {
    times: 0,
    ozone_min: 0,
    most_times: null,
    most_ozone_min: null,
    why_not: 'bubbling this fill again is not allowed: no approved method sheet of this batch permits it',
  },
  ...over,
})

export const fakeBench = (now: number, over: Partial<LiveBench> = {}): LiveBench => ({
  bench: 'A',
  name: 'Bench A',
  simulated: false,
  metered: true,
  spot_mode: false,
  at: iso(now),
  potency: fakePotency(now),
  temperature: { state: 'live', celsius: 8.4, at: iso(now - 900) },
  room_ozone_ppm: null,
  offer: null,
  companions: [
    { channel: 'gas-ozone', unit: 'µg/NmL', value: 58.4, state: 'live', at: iso(now) },
    { channel: 'gas-flow', unit: 'mL/min', value: 248, state: 'live', at: iso(now) },
    { channel: 'barometric-pressure', unit: 'kPa', value: 96.2, state: 'stale', at: iso(now - 90_000) },
  ],
  notes: ['gas 58 µg/NmL as measured', 'flow 248 mL/min as measured'],
  batch: null,
  phase: { kind: 'no-batch', since: null },
  decision: 'no-target',
  fits: [],
  forecast: {
    state: 'no-target',
    target_mg_l: null,
    reaches_target_at: null,
    early_bound_at: null,
    latest_at: null,
    basis: 'none',
    why: null,
  },
  verdicts: [],
  next_step: { text: 'Open a batch.', action: 'open' },
  ozone_off_at_planned: null,
  vented_mg: null,
  batch_mg: null,
  alarms: [],
  ...over,
})

export const bubbling = (now: number, over: Partial<LiveBench> = {}): LiveBench => {
  const since = iso(now - 5 * MIN)
  const phase = { kind: 'bubbling', since } as const
  return fakeBench(now, {
    batch: fakeBatch(now, { phase, ozone_on_at: [since] }),
    phase,
    decision: 'above',
    forecast: {
      state: 'if-off-now',
      target_mg_l: 15,
      reaches_target_at: iso(now + 17 * MIN),
      early_bound_at: iso(now + 11 * MIN),
      latest_at: iso(now + 25 * MIN),
      basis: 'expectation',
      why: null,
    },
    fits: [fakeRise(now)],
    verdicts: [
      {
        about: 'plateau',
        against: 'expectation',
        answer: 'differs',
        text: 'Levels off 18 % under the lower edge of what the physics expects.',
        causes: ['gas set lower than recorded', 'warm fluid', 'a leak before the flask'],
      },
    ],
    next_step: { text: 'Ozone off at the planned time.', action: 'ozone-off' },
    ozone_off_at_planned: iso(now + 3 * MIN + 8000),
    vented_mg: 61,
    batch_mg: 4.6,
    ...over,
  })
}

export const standing = (now: number, over: Partial<LiveBench> = {}): LiveBench => {
  const phase = { kind: 'standing', since: iso(now - 6 * MIN) } as const
  return fakeBench(now, {
    batch: fakeBatch(now, {
      phase,
      left_ml: 230,
      ozone_off_at: [iso(now - 7 * MIN)],
      flow_off_at: [iso(now - 6 * MIN)],
    }),
    phase,
    decision: 'above',
    forecast: {
      state: 'counting',
      target_mg_l: 15,
      reaches_target_at: iso(now + 17 * MIN),
      early_bound_at: iso(now + 12 * MIN + 5400),
      latest_at: iso(now + 26 * MIN),
      basis: 'readings',
      why: null,
    },
    fits: [fakeRise(now), fakeDecay(now)],
    next_step: { text: 'Draw up, before 14:26.', action: 'draw-up' },
    vented_mg: 74,
    batch_mg: 4.2,
    ...over,
  })
}

const estimate = (value: number, low: number, high: number) => ({ value, low, high, bound: null, why: null })

const fakeRise = (now: number) => ({
  kind: 'rise' as const,
  status: 'fitted' as const,
  why: null,
  start: iso(now - 12 * MIN),
  end: iso(now - 7 * MIN),
  plateau_mg_l: estimate(21.4, 21.0, 21.9),
  rate_per_min: estimate(0.61, 0.55, 0.67),
  t95_min: estimate(4.9, 4.5, 5.4),
  half_life_min: null,
  half_life_20c_min: null,
  lost_percent: null,
  fraction_of_plateau: 0.97,
  order: null,
  residual_sd_mg_l: 0.21,
  n: 300,
  n_eff: 44,
  notes: ['The first 20 % of the rise was left out.'],
})

const fakeDecay = (now: number) => ({
  ...fakeRise(now),
  kind: 'decay' as const,
  start: iso(now - 6 * MIN),
  end: iso(now),
  plateau_mg_l: null,
  rate_per_min: estimate(0.0231, 0.019, 0.0272),
  t95_min: null,
  half_life_min: estimate(30, 25.5, 36.5),
  half_life_20c_min: estimate(13.9, 10.8, 18),
  fraction_of_plateau: null,
  order: 1,
  notes: [],
})

export const fakeAlarm = (now: number, over: Partial<AlarmView> = {}): AlarmView => ({
  key: 'A:will-fall-below-target',
  alarm: 'will-fall-below-target',
  bench: 'A',
  batch: BATCH_ID,
  priority: 'medium',
  state: 'unacknowledged',
  since: iso(now - 40_000),
  text: 'Will fall below the value you set within 5 min (early bound).',
  what_to_do: 'Draw up now, or discard. Do not draw later from this batch.',
  acknowledged_by: null,
  acknowledged_at: null,
  shelved_until: null,
  may_be_shelved: true,
  ...over,
})
