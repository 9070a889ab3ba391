import type { LiveBench } from '../../server/wire.ts'
import {
  bubbling,
  fakeAlarm,
  fakeBatch,
  fakeBench,
  fakePotency,
  iso,
  standing,
} from '../support/fake-bench.ts'
import { fakeCurves } from '../support/fake-curves.ts'
import type { FakeState } from '../support/fake-server.ts'
import { SINGLE_STATES } from './single-states.ts'

const SITE: FakeState['site'] = {
  name: 'Example clinic',
  zone: 'Europe/Zurich',
  simulated: false,
  version: '0.1.0',
  benches: [{ id: 'A', name: 'Bench A', simulated: false }],
}

export const stateOf = (one: (now: number) => LiveBench[], over: Partial<FakeState> = {}): FakeState => ({
  site: SITE,
  benches: one,
  curves: fakeCurves,
  alarms: (now) => one(now).flatMap((b) => b.alarms),
  refuse: null,
  posted: [],
  sheets: () => [],
  ...over,
})

const LONG =
  'Third-floor preparation bench behind the glass partition, window side, with the long-named flask station'

const minutes = (n: number) => n * 60_000

/** The states a screen must survive, by name. */
export const STATES: Readonly<Record<string, (now: number) => LiveBench[]>> = {
  'no-data': (now) => [
    fakeBench(now, {
      potency: fakePotency(now, {
        state: 'no-reading',
        value_mg_l: null,
        low_mg_l: null,
        high_mg_l: null,
        at: null,
        age_s: null,
        calibration: null,
      }),
      decision: 'no-value',
    }),
  ],
  bubbling: (now) => [bubbling(now)],
  standing: (now) => [standing(now)],
  stale: (now) => [
    standing(now, {
      potency: fakePotency(now, {
        state: 'stale',
        at: iso(now - minutes(4)),
        age_s: 240,
        why: 'No reading for 4 min; the meter sends one every second.',
      }),
      decision: 'no-value',
      next_step: { text: 'Look at the meter.', action: 'wait' },
    }),
  ],
  fault: (now) => [
    standing(now, {
      potency: fakePotency(now, {
        state: 'fault',
        at: iso(now - minutes(2)),
        age_s: 120,
        why: 'The loop reads 3.5 mA: NAMUR NE 43 failure.',
      }),
      decision: 'no-value',
      next_step: { text: 'Look at the meter.', action: 'wait' },
    }),
  ],
  clipped: (now) => [
    bubbling(now, {
      potency: fakePotency(now, {
        state: 'clipped',
        value_mg_l: 20,
        full_scale_mg_l: 20,
        low_mg_l: null,
        high_mg_l: null,
        why: 'The meter is at its full scale.',
      }),
      decision: 'no-value',
    }),
  ],
  alarm: (now) => [
    standing(now, {
      alarms: [
        fakeAlarm(now),
        fakeAlarm(now, {
          key: 'A:room-ozone-ceiling',
          alarm: 'room-ozone-ceiling',
          priority: 'high',
          text: 'Room ozone above the ceiling: 0.14 ppm.',
          what_to_do:
            'Ozone off. Everyone out. Ventilate. Do not return before the reading is below the ceiling.',
        }),
      ],
      room_ozone_ppm: 0.14,
    }),
  ],
  acknowledged: (now) => [
    standing(now, {
      decision: 'below',
      potency: fakePotency(now, { value_mg_l: 13.9, low_mg_l: 13.3, high_mg_l: 14.5 }),
      forecast: {
        state: 'below-target',
        target_mg_l: 15,
        reaches_target_at: null,
        early_bound_at: null,
        latest_at: null,
        basis: 'readings',
        why: null,
      },
      next_step: { text: 'Discard, under extraction.', action: 'discard' },
      alarms: [
        fakeAlarm(now, {
          key: 'A:potency-below-target',
          alarm: 'potency-below-target',
          state: 'acknowledged',
          text: 'Below the value you set: 13.9, set 15.0 µg/mL.',
          what_to_do: 'Do not draw up. Discard.',
          acknowledged_by: 'M. Example',
          acknowledged_at: iso(now - 20_000),
        }),
      ],
    }),
  ],
  'by-hand': (now) => [
    standing(now, {
      potency: fakePotency(now, {
        state: 'by-hand',
        at: iso(now - minutes(4)),
        age_s: 240,
        stale_after_s: 600,
      }),
      forecast: { ...standing(now).forecast, basis: 'history' },
      estimate_now: { low_mg_l: 15.2, high_mg_l: 18.1, basis: 'history' },
    }),
  ],
  ...SINGLE_STATES,
  'no-meter': (now) => [
    standing(now, {
      metered: false,
      potency: fakePotency(now, {
        state: 'stale',
        at: iso(now - minutes(12)),
        age_s: 720,
        stale_after_s: 600,
        calibration: null,
        why: 'the last value typed in is old: take another reading',
      }),
      decision: 'no-value',
      forecast: { ...standing(now).forecast, state: 'cannot-tell', why: 'reading-too-old' },
      next_step: { text: 'The last value typed in is old: take another reading.', action: null },
    }),
  ],
  'not-yet': (now) => [
    bubbling(now, {
      potency: fakePotency(now, { value_mg_l: 9.4, low_mg_l: 9, high_mg_l: 9.8, lag_s: 9 }),
      decision: 'below',
      forecast: { ...bubbling(now).forecast, state: 'below-target', why: 'below-target-already' },
      ozone_off_at_planned: null,
    }),
  ],
  'too-close': (now) => [
    standing(now, {
      potency: fakePotency(now, { value_mg_l: 14.9, low_mg_l: 14.3, high_mg_l: 15.5 }),
      decision: 'too-close-to-say',
      forecast: { ...standing(now).forecast, state: 'below-target', why: 'below-target-already' },
      next_step: {
        text: 'The best estimate is below the value you set. Discard, or measure again.',
        action: 'discard',
      },
    }),
  ],
  uncalibrated: (now) => [
    standing(now, {
      potency: fakePotency(now, { calibration: null }),
      decision: 'not-calibrated',
      forecast: {
        ...standing(now).forecast,
        state: 'cannot-tell',
        reaches_target_at: null,
        early_bound_at: null,
        latest_at: null,
        basis: 'none',
        why: 'not calibrated, so no time is counted',
      },
      next_step: {
        text: 'The meter is not calibrated: the program cannot say above or below.',
        action: null,
      },
    }),
  ],
  'long-names': (now) => [
    bubbling(now, {
      name: LONG,
      batch: fakeBatch(now, {
        number: 'third-floor-preparation-bench-behind-the-glass-2026-03-04-12',
        fluid: 'other',
        fluid_detail: 'Filtered tap water of the old building, second filter, after the softener',
        lot: 'LOT-0123456789-0123456789-0123456789-0123456789',
      }),
      potency: fakePotency(now, {
        calibration: {
          at: iso(now - minutes(9000)),
          method: 'indigo trisulfonate, dye lot 7, measured absorptivity, two dilutions',
        },
      }),
    }),
  ],
  'forty-benches': (now) => Array.from({ length: 40 }, (_, i) => crowd(now, i)),
}

const crowd = (now: number, i: number): LiveBench => {
  const makers = [bubbling, standing, fakeBench]
  const make = makers[i % 3] ?? fakeBench
  const bench = `B${i + 1}`
  const name = i === 7 ? LONG : `Bench ${i + 1}`
  const broken =
    i % 11 === 4
      ? { potency: fakePotency(now, { state: 'stale', at: iso(now - minutes(4)), age_s: 240 }) }
      : {}
  const alarms = i % 13 === 5 ? [fakeAlarm(now, { key: `${bench}:x`, bench })] : []
  return make(now, { bench, name, alarms, ...broken })
}
