import type { EntryView } from '../../server/wire.ts'
import { BATCH_ID, iso } from './fake-bench.ts'

export const fakeEntry = (now: number, over: Partial<EntryView>): EntryView => ({
  id: '01900000-0000-7000-8000-0000000000ff',
  seq: 1,
  happened_at: iso(now),
  entered_at: iso(now),
  bench: 'A',
  batch: BATCH_ID,
  who: { name: 'M. Example', how: 'typed' },
  why: null,
  kind: 'note',
  data: {},
  prev: '0'.repeat(64),
  hash: '1'.repeat(64),
  ...over,
})

const id = (n: number): string => `01900000-0000-7000-8000-0000000001${String(n).padStart(2, '0')}`

/** One batch's worth of entries: opened, a wrong tap taken back, a late entry, a draw-up, an alarm. */
export const FAKE_ENTRIES = (now: number): EntryView[] => {
  const at = (min: number) => ({ happened_at: iso(now - min * 60_000), entered_at: iso(now - min * 60_000) })
  const made = (n: number, min: number, over: Partial<EntryView>) =>
    fakeEntry(now, { id: id(n), seq: n, ...at(min), ...over })
  return [
    made(1, 15, {
      kind: 'batch-opened',
      data: { number: 'A-2026-03-04-2', fluid: 'saline', volume_ml: 250 },
    }),
    made(2, 14, {
      kind: 'step-ticked',
      data: { step: 'extraction-on', text: 'Extraction or ventilation is running.' },
    }),
    made(3, 12, { kind: 'ozone-on' }),
    made(4, 8, { kind: 'ozone-off' }),
    made(5, 7.9, { kind: 'undone', data: { entry: id(4) }, why: 'wrong bench' }),
    made(6, 7, { kind: 'ozone-off', entered_at: iso(now - 6.5 * 60_000) }),
    made(7, 6, { kind: 'flow-off' }),
    made(8, 3, {
      kind: 'drawn-up',
      data: {
        ml: 20,
        left_ml: 230,
        opaque_reference: 'R-12',
        at_draw: { value_mg_l: 19.1, low_mg_l: 18.5, high_mg_l: 19.7, basis: 'measured', calibrated: true },
      },
    }),
    made(9, 2, {
      kind: 'reading-by-hand',
      data: { quantity: 'dissolved-ozone', value: 18.9, u_percent: 6, method: 'test kit' },
    }),
    made(10, 1, {
      kind: 'alarm',
      who: { name: 'Spargewatch', how: 'program' },
      data: {
        alarm: 'will-fall-below-target',
        from: 'normal',
        to: 'unacknowledged',
        priority: 'medium',
        text: 'Will fall below the value you set within 5 min (early bound).',
      },
    }),
    made(11, 0.5, {
      kind: 'correction',
      data: { entry: id(7), field: 'happened_at', old: '14:06:00', new: '14:06:20' },
      why: 'read from the wall clock',
    }),
  ]
}
