import type { Deliveries } from '../../server/wire.ts'
import { iso } from './fake-bench.ts'

const BATCH = 'A-2026-03-14-1'

type Shown = Pick<Deliveries['deliveries'][number], 'receiver' | 'what' | 'state' | 'tries' | 'words'> & {
  readonly minutesAgo: number
}

const SHOWN: readonly Shown[] = [
  {
    receiver: 'bench staff',
    what: 'raised',
    state: 'waiting',
    tries: 9,
    words: 'nothing answers there (connection refused): connect ECONNREFUSED 192.0.2.7:587',
    minutesAgo: 2,
  },
  { receiver: 'duty pager', what: 'raised', state: 'delivered', tries: 1, words: null, minutesAgo: 2 },
  {
    receiver: 'clinic lead',
    what: 'not-acknowledged',
    state: 'waiting',
    tries: 0,
    words: null,
    minutesAgo: -8,
  },
  {
    receiver: 'clinic lead',
    what: 'not-acknowledged',
    state: 'not-needed',
    tries: 0,
    words: 'acknowledged before it was due',
    minutesAgo: 300,
  },
  {
    receiver: 'duty pager',
    what: 'returned',
    state: 'refused',
    tries: 1,
    words: 'it answered 404: no such hook',
    minutesAgo: 2000,
  },
]

/** What the stand-in tells of messages: one of each kind that a person has to tell apart. */
export const fakeDeliveries = (now: number): Deliveries => ({
  set_up: 'set',
  fault: null,
  receivers: [
    {
      name: 'bench staff',
      by: 'mail',
      to: 'staff@clinic.example',
      priorities: ['high', 'medium'],
      after_min: null,
      state: 'waiting',
      why: SHOWN[0]?.words ?? null,
      next_try_at: iso(now + 40_000),
      last_delivered_at: iso(now - 300 * 60_000),
    },
    {
      name: 'duty pager',
      by: 'webhook',
      to: 'pager.example',
      priorities: ['high'],
      after_min: null,
      state: 'working',
      why: null,
      next_try_at: null,
      last_delivered_at: iso(now - 2 * 60_000),
    },
    {
      name: 'clinic lead',
      by: 'mail',
      to: 'lead@clinic.example',
      priorities: ['high', 'medium'],
      after_min: 10,
      state: 'waiting',
      why: SHOWN[0]?.words ?? null,
      next_try_at: iso(now + 40_000),
      last_delivered_at: null,
    },
  ],
  heartbeat: { to: 'watch.example', every_s: 60, last_at: iso(now - 31_000), why: null },
  deliveries: SHOWN.map(({ minutesAgo, ...shown }, i) => ({
    ...shown,
    id: `00000000-0000-8000-8000-00000000000${i}`,
    key: 'A:potency-below-target',
    bench: 'A',
    batch: BATCH,
    priority: 'high',
    text: 'Measured dissolved ozone is below the 15 µg/mL you set',
    simulated: false,
    raised_at: iso(now - Math.max(2, minutesAgo) * 60_000),
    due_at: iso(now - minutesAgo * 60_000),
    tried_at: shown.tries === 0 ? null : iso(now - minutesAgo * 60_000),
    done_at: shown.state === 'waiting' ? null : iso(now - minutesAgo * 60_000),
  })),
})
