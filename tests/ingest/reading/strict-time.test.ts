import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { NewReading } from '../../../ingest/reading/reading.ts'
import { createStrictTime } from '../../../ingest/reading/strict-time.ts'
import { timeUs } from '../../../ingest/units.ts'

const series = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const
const reading = (at: number): NewReading => ({
  series,
  timeUs: timeUs(at),
  bootId: 'b',
  monoMs: 0,
  raw: 1,
  value: 1,
  quality: 'good',
  movedUs: 0,
})

describe('reading times', () => {
  it('stay as they are while the clock only goes forward', () => {
    const strict = createStrictTime(() => undefined)
    expect([10, 20, 30].map((t) => strict(reading(t)))).toEqual([10, 20, 30].map(reading))
  })

  it('of two readings in one microsecond stay two, the second marked as moved', () => {
    const strict = createStrictTime(() => undefined)
    expect([strict(reading(10)), strict(reading(10))].map((r) => [r.timeUs, r.movedUs])).toEqual([
      [10, 0],
      [11, 1],
    ])
  })

  it('go on after what the store already holds, although the clock stepped back over a restart', () => {
    const strict = createStrictTime(() => timeUs(3_600_000_000))
    expect(strict(reading(5))).toMatchObject({ timeUs: 3_600_000_001, movedUs: 3_599_999_996 })
  })

  it('are strictly increasing whatever the clock does, and each says how far it was moved', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -1_000_000, max: 1_000_000 }), { minLength: 2 }), (clock) => {
        const strict = createStrictTime(() => undefined)
        const out = clock.map((t) => strict(reading(t)))
        out.forEach((r, i) => {
          expect(r.timeUs).toBeGreaterThan(out[i - 1]?.timeUs ?? Number.NEGATIVE_INFINITY)
          expect(r.timeUs - r.movedUs).toBe(clock[i])
        })
      }),
    )
  })
})
