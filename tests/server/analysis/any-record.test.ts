import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { AnalysisEventKind, AnalysisInput } from '../../../server/analysis/input.ts'
import { liveEstimate } from '../../../server/analysis/live.ts'
import { analysisSchema } from '../../../server/analysis/schema.ts'
import { START_US } from './batch-input.ts'

const kinds: AnalysisEventKind[] = [
  'ozone-on',
  'ozone-off',
  'flow-off',
  'drawn-up',
  'discarded',
  'probe-in',
  'probe-out',
]

const value = fc.oneof(
  { weight: 6, arbitrary: fc.double({ min: 0, max: 40, noNaN: true }) },
  { weight: 1, arbitrary: fc.constant(Number.NaN) },
  { weight: 1, arbitrary: fc.constant(0) },
  { weight: 1, arbitrary: fc.constantFrom(-5, 1e6, 20, 1e-9) },
)

/** Any record a broken meter and a hurried person could make. */
const record: fc.Arbitrary<AnalysisInput> = fc
  .record({
    values: fc.array(value, { maxLength: 120 }),
    repeat: fc.integer({ min: 1, max: 12 }),
    stepS: fc.constantFrom(0.2, 1, 7, 60),
    events: fc.array(
      fc.record({ kind: fc.constantFrom(...kinds), part: fc.double({ min: -0.2, max: 1.2, noNaN: true }) }),
      {
        maxLength: 8,
      },
    ),
    lag: fc.option(fc.constantFrom(0, 5, 60), { nil: undefined }),
    spot: fc.option(fc.constant(3), { nil: undefined }),
    target: fc.option(fc.constantFrom(0.5, 10, 100), { nil: undefined }),
    celsius: fc.option(fc.double({ min: -2, max: 45, noNaN: true }), { nil: undefined }),
  })
  .map(({ values, repeat, stepS, events, lag, spot, target, celsius }) => {
    const potencyMgPerL = Float64Array.from(values.flatMap((v) => new Array<number>(repeat).fill(v)))
    const timesS = potencyMgPerL.map((_, i) => i * stepS)
    const span = timesS.length * stepS
    return {
      startUs: START_US,
      timesS,
      potencyMgPerL,
      events: events.map((e) => ({ kind: e.kind, atS: e.part * span })),
      nowS: span + 1,
      ...(lag === undefined ? {} : { probeLag: { tauS: lag, uS: lag / 10 } }),
      ...(spot === undefined ? {} : { readingUPercent: spot }),
      ...(target === undefined ? {} : { targetMgPerL: target }),
      ...(celsius === undefined ? {} : { temperature: { timesS, celsius: timesS.map(() => celsius) } }),
    }
  })

describe('any record whatever', () => {
  it('gives a valid document that survives JSON, and a live estimate with sane numbers', () => {
    fc.assert(
      fc.property(record, (input) => {
        const document = analyseBatch(input)
        expect(analysisSchema.parse(JSON.parse(JSON.stringify(document)))).toEqual(document)
        const { potency, timeLeft } = liveEstimate(input, 5)
        if (potency.kind !== 'none') {
          expect(Number.isFinite(potency.mgPerL)).toBe(true)
          expect(potency.ci95[0]).toBeLessThanOrEqual(potency.ci95[1])
        }
        if (timeLeft.kind === 'until') {
          expect(timeLeft.earlyS).toBeGreaterThanOrEqual(0)
          expect(timeLeft.earlyS).toBeLessThanOrEqual(timeLeft.expectedS + 1e-6)
          expect(Number.isFinite(timeLeft.ci95S[1])).toBe(true)
        }
      }),
      { numRuns: 400, seed: 20260304 },
    )
  })
})
