import fc from 'fast-check'

const typed = fc.oneof(
  { weight: 3, arbitrary: fc.string({ minLength: 1, maxLength: 30 }) },
  fc.string({ unit: 'binary', maxLength: 40 }),
  fc.string({ unit: 'grapheme', maxLength: 40 }),
  fc.constantFrom(
    '\ud800',
    'a\udc00b',
    '=1+1',
    '',
    ' ',
    '\u0000',
    'x'.repeat(2000),
    '\u202eabc',
    'é',
    'e\u0301',
  ),
)
const amount = fc.oneof(
  fc.double({ min: 0.001, max: 0.01 }),
  fc.double(),
  fc.integer(),
  fc.constantFrom(-0, 0, 1e308, 5e-324, 250, 0.1 + 0.2),
)
const moment = fc.constantFrom(
  undefined,
  undefined,
  '0001-01-01T00:00:00Z',
  '9999-12-31T23:59:59Z',
  '2026-02-30T00:00:00Z',
  '2026-03-14T09:00:00.123456789Z',
)
const withData = <T>(kind: string, data: fc.Arbitrary<T>) => data.map((d) => ({ kind, data: d }))
const entryLike = fc.oneof(
  withData('note', fc.record({ text: typed })),
  withData('step-ticked', fc.record({ step: typed, text: typed })),
  withData(
    'reading-by-hand',
    fc.record({ quantity: fc.constantFrom('dissolved-ozone', 'gold'), value: amount, method: typed }),
  ),
  withData('spot-reading', fc.record({ from: moment, to: moment })),
  withData('drawn-up', fc.record({ ml: amount, opaque_reference: typed }, { requiredKeys: ['ml'] })),
  withData('undone', fc.record({ entry: fc.uuid() })),
  fc
    .constantFrom('ozone-on', 'ozone-off', 'flow-off', 'disconnected', 'probe-in', 'probe-out', 'alarm')
    .map((kind) => ({ kind })),
)
/** What a person may send, mostly right: every kind of entry, with texts, amounts and times that try the limits. */
export const nearlyRight = fc.record(
  { who: typed, why: typed, happened_at: moment, entry: entryLike },
  { requiredKeys: ['who', 'entry'] },
)
