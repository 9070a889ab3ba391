import { describe, expect, it } from 'vitest'
import { lastTimeItWas, offsetMinutes, siteClock } from '../../../server/wording/site-clock.ts'

/** Offsets from the IANA time zone database: Zurich UTC+1, from 2026-03-29 01:00 UTC on UTC+2. */
const ZURICH = 'Europe/Zurich'
const at = (iso: string): number => Date.parse(iso)

describe('times of the site', () => {
  it('shows the wall clock of the site, whatever the browser thinks', () => {
    const clock = siteClock(ZURICH)
    expect(clock.time('2026-03-04T13:03:10Z')).toBe('14:03')
    expect(clock.full('2026-03-04T23:30:00Z')).toBe('2026-03-05 00:30:00')
  })

  it('names the day only when it is another one at the site', () => {
    const clock = siteClock(ZURICH)
    const now = at('2026-03-04T13:00:00Z')
    expect(clock.near('2026-03-04T10:00:00Z', now)).toBe('11:00')
    expect(clock.near('2026-03-03T22:59:00Z', now)).toBe('2026-03-03 23:59')
  })

  it('writes midnight as 00 and not as 24', () => {
    expect(siteClock(ZURICH).seconds('2026-03-03T23:00:00Z')).toBe('00:00:00')
  })

  it('knows offsets that are no whole hours', () => {
    expect(offsetMinutes('Asia/Kathmandu', at('2026-03-04T00:00:00Z'))).toBe(345)
    expect(offsetMinutes(ZURICH, at('2026-03-29T00:59:59Z'))).toBe(60)
    expect(offsetMinutes(ZURICH, at('2026-03-29T01:00:00Z'))).toBe(120)
  })
})

describe('a picked time', () => {
  it('is the latest moment not in the future at which the site showed it', () => {
    const now = at('2026-03-04T13:03:00Z')
    expect(lastTimeItWas(ZURICH, '14:02:30', now)).toBe(at('2026-03-04T13:02:30Z'))
    expect(lastTimeItWas(ZURICH, '14:03:01', now)).toBe(at('2026-03-03T13:03:01Z'))
  })

  it('belongs to yesterday just after midnight', () => {
    expect(lastTimeItWas(ZURICH, '23:58', at('2026-03-04T23:01:00Z'))).toBe(at('2026-03-04T22:58:00Z'))
  })

  it('keeps its hour across the change to summer time', () => {
    const now = at('2026-03-29T08:00:00Z')
    expect(lastTimeItWas(ZURICH, '09:30', now)).toBe(at('2026-03-29T07:30:00Z'))
    expect(lastTimeItWas(ZURICH, '01:30', now)).toBe(at('2026-03-29T00:30:00Z'))
  })

  it('is refused when it is no time of day', () => {
    for (const text of ['', '25:00', '7:5', 'noon', '12:60'])
      expect(lastTimeItWas(ZURICH, text, 0)).toBeNull()
  })
})
