import type { LiveBench } from '../../server/wire.ts'
import { fakeAlarm, fakeBatch, fakePotency, iso, standing } from '../support/fake-bench.ts'

const minutes = (n: number) => n * 60_000

/** A dipped probe before and after its reading, and an alarm put aside. */
export const SINGLE_STATES: Readonly<Record<string, (now: number) => LiveBench[]>> = {
  'spot-first': (now) => [
    standing(now, {
      spot_mode: true,
      batch: fakeBatch(now, { measuring_place: 'dipped', phase: standing(now).phase }),
      potency: fakePotency(now, {
        state: 'no-reading',
        value_mg_l: null,
        low_mg_l: null,
        high_mg_l: null,
        at: null,
        age_s: null,
        why: 'no spot reading taken yet',
      }),
      decision: 'no-value',
      forecast: { ...standing(now).forecast, state: 'cannot-tell', why: 'too-few-readings' },
      next_step: { text: 'Dip the probe and take a spot reading.', action: 'spot-reading' },
    }),
  ],
  spot: (now) => [
    standing(now, {
      spot_mode: true,
      batch: fakeBatch(now, { measuring_place: 'dipped', phase: standing(now).phase }),
      potency: fakePotency(now, {
        state: 'by-hand',
        taken: 'meter',
        at: iso(now - minutes(4)),
        age_s: 240,
        stale_after_s: 600,
        why: 'settled reading of meter-a',
      }),
      estimate_now: { low_mg_l: 15.2, high_mg_l: 18.1, basis: 'readings' },
    }),
  ],
  shelved: (now) => [
    standing(now, {
      alarms: [
        fakeAlarm(now, {
          state: 'shelved',
          shelved_until: iso(now + minutes(20)),
          acknowledged_by: 'M. Example',
        }),
      ],
    }),
  ],
}
