/** Times of the site's zone. The browser may sit in another zone; the record belongs to the bench. */
export interface SiteClock {
  readonly zone: string
  /** "14:03" */
  readonly time: (iso: string | number) => string
  /** "14:03:10" */
  readonly seconds: (iso: string | number) => string
  /** "2026-03-04" */
  readonly day: (iso: string | number) => string
  /** "14:03" on the day of `now`, else "2026-03-04 14:03" */
  readonly near: (iso: string | number, now_ms: number) => string
  /** "2026-03-04 14:03:10" */
  readonly full: (iso: string | number) => string
}

type Parts = Readonly<Record<'year' | 'month' | 'day' | 'hour' | 'minute' | 'second', string>>

export const siteClock = (zone: string): SiteClock => {
  const parts = partsIn(zone)
  const time = (t: string | number) => ((p) => `${p.hour}:${p.minute}`)(parts(t))
  const seconds = (t: string | number) => ((p) => `${p.hour}:${p.minute}:${p.second}`)(parts(t))
  const day = (t: string | number) => ((p) => `${p.year}-${p.month}-${p.day}`)(parts(t))
  return {
    zone,
    time,
    seconds,
    day,
    near: (t, now) => (day(t) === day(now) ? time(t) : `${day(t)} ${time(t)}`),
    full: (t) => `${day(t)} ${seconds(t)}`,
  }
}

/** Minutes that the zone's wall clock is ahead of UTC at that instant. */
export const offsetMinutes = (zone: string, at_ms: number): number => {
  const p = partsIn(zone)(at_ms)
  const wall = Date.UTC(+p.year, +p.month - 1, +p.day, +p.hour, +p.minute, +p.second)
  return Math.round((wall - at_ms) / 60_000)
}

/**
 * The latest instant, not after `now`, at which the zone's wall clock showed `HH:MM` or `HH:MM:SS`.
 * Null when the text is no time of day.
 */
export const lastTimeItWas = (zone: string, text: string, now_ms: number): number | null => {
  const match = /^([01]\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?$/.exec(text.trim())
  if (match === null) return null
  const ofDay = (Number(match[1]) * 60 + Number(match[2])) * 60_000 + Number(match[3] ?? 0) * 1000
  const wallNow = now_ms + offsetMinutes(zone, now_ms) * 60_000
  const midnight = Math.floor(wallNow / 86_400_000) * 86_400_000
  const candidates = [0, 1, 2].map((back) => fromWall(zone, midnight + ofDay - back * 86_400_000))
  return candidates.find((t) => t <= now_ms) ?? null
}

/** The instant at which the zone's wall clock shows `YYYY-MM-DDTHH:MM` or with `:SS`; null when the text is no such time. */
export const instantOf = (zone: string, text: string): number | null => {
  const match = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)(?::(\d\d))?$/.exec(text.trim())
  if (match === null) return null
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0] = match
    .slice(1)
    .map((part) => Number(part ?? 0))
  const wall = Date.UTC(year, month - 1, day, hour, minute, second)
  return Number.isNaN(wall) ? null : fromWall(zone, wall)
}

/** Two rounds settle a wall time that lies on the other side of a daylight-saving change. */
const fromWall = (zone: string, wall_ms: number): number => {
  const first = wall_ms - offsetMinutes(zone, wall_ms) * 60_000
  return wall_ms - offsetMinutes(zone, first) * 60_000
}

const partsIn = (zone: string): ((t: string | number) => Parts) => {
  const formatter = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    hourCycle: 'h23',
  })
  return (t) =>
    Object.fromEntries(
      formatter.formatToParts(new Date(t)).map((part) => [part.type, part.value]),
    ) as unknown as Parts
}
