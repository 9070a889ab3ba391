import { describe, expect, it } from 'vitest'
import { type Reading, seriesName } from '../../../ingest/reading/reading.ts'
import { timeUs } from '../../../ingest/units.ts'
import { type ViewerParts, viewerRoutes } from '../../../server/viewer/viewer-routes.ts'
import type { Viewed } from '../../../server/wire.ts'

const NOW_MS = Date.parse('2026-03-14T09:00:00Z')
const SERIES = { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' } as const

const reading = (agoS: number, more: Partial<Reading> = {}): Reading => ({
  series: SERIES,
  seq: 1,
  timeUs: timeUs((NOW_MS - agoS * 1000) * 1000),
  bootId: 'b',
  monoMs: 0,
  raw: 12,
  value: 12,
  quality: 'good',
  movedUs: 0,
  ...more,
})

const viewedWith = (readings: readonly Reading[], trouble: string | null = null): Viewed => {
  const parts = {
    config: { site: 'Example', zone: 'UTC', simulated: true, benches: [{ id: 'A', name: 'Bench A' }] },
    version: '0.1.0',
    series: [
      { ...SERIES, unit: 'mg/L', site: 'Example', port: 'p', fullScale: null, intervalS: 1, wired: true },
    ],
    readings: { name: 'there' },
    record: null,
    proved: false,
    followed: () => ({
      newest: new Map(readings.map((r) => [seriesName(r.series), r])),
      delivered: 1,
      trouble,
    }),
    nowMs: () => NOW_MS,
  } as unknown as ViewerParts
  const route = viewerRoutes(parts).find((r) => r.path === '/api/viewed')
  return route?.handle(
    { params: {}, query: {}, body: {}, caller: { kind: 'open' } },
    {} as never,
    {} as never,
  ) as Viewed
}

describe('what a viewer says', () => {
  it('gives every value its age, and the delay of the newest of all', () => {
    const viewed = viewedWith([reading(34)])
    expect(viewed).toMatchObject({ delayed_s: 34, clock_behind_s: null, proved: false })
    expect(viewed.site.simulated).toBe(true)
    expect(viewed.benches[0]?.channels).toEqual([
      {
        channel: 'dissolved-ozone',
        instrument: 'meter-a',
        unit: 'mg/L',
        value: 12,
        quality: 'good',
        at: '2026-03-14T08:59:26.000Z',
        age_s: 34,
      },
    ])
  })

  it('goes on ageing the last value while nothing new can be read, and says why', () => {
    expect(viewedWith([reading(4000)], 'away')).toMatchObject({ delayed_s: 4000, trouble: 'away' })
  })

  it('has no delay where nothing has come', () => {
    expect(viewedWith([])).toMatchObject({ delayed_s: null, clock_behind_s: null })
  })

  it('says when its own clock is behind, for ages then look too small', () => {
    expect(viewedWith([reading(-30)])).toMatchObject({ delayed_s: 0, clock_behind_s: 30 })
    expect(viewedWith([reading(-1)]).clock_behind_s).toBeNull()
  })

  it('keeps a reading without a number as one', () => {
    const [channel] =
      viewedWith([reading(3, { value: null, raw: null, quality: 'fault' })]).benches[0]?.channels ?? []
    expect(channel).toMatchObject({ value: null, quality: 'fault' })
  })
})
