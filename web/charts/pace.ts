/** About as many columns as a wide screen tells apart. */
const COLUMNS = 1000
const SLOWEST_MS = 4000

/**
 * How long a picture of so long a time may stand, ms: until the newest point would be another column further right,
 * at least a second and at most four. The number above it has a pace of its own.
 */
export const paceMs = (span_ms: number): number => Math.min(SLOWEST_MS, Math.max(1000, span_ms / COLUMNS))
