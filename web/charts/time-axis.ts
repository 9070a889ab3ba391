/** Whole steps of the site's clock for an axis that counts minutes from an origin. */
const STEPS_MIN = [1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440] as const

/**
 * Ticks, in minutes from the origin, that fall on round times of the site's wall clock.
 * `offset_min` is how far that clock is ahead of UTC at the origin.
 */
export const timeTicks = (
  origin_ms: number,
  offset_min: number,
  from_min: number,
  to_min: number,
  most: number,
): readonly number[] => {
  const span = to_min - from_min
  if (!(span > 0) || most < 1) return []
  const step = STEPS_MIN.find((s) => span / s <= most) ?? Math.ceil(span / most / 1440) * 1440
  const wallOrigin_min = origin_ms / 60_000 + offset_min
  const first = Math.ceil((wallOrigin_min + from_min) / step) * step - wallOrigin_min
  return Array.from(
    { length: Math.max(0, Math.floor((to_min - first) / step) + 1) },
    (_, i) => first + i * step,
  )
}
