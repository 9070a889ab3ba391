/** Numbers and durations as words for people. Site times are in `site-clock.ts`. */

/** 1 µg/mL = 1 mg/L exactly, so choosing a unit changes the word and never the number. */
export type Unit = 'µg/mL' | 'mg/L'

export const NO_NUMBER = '–'

const MINUS = '\u2212'

/** A number with a fixed count of decimals and a true minus sign; a dash when there is none. */
export const decimal = (value: number | null | undefined, places: number): string => {
  if (value === null || value === undefined || !Number.isFinite(value)) return NO_NUMBER
  const text = Math.abs(value).toFixed(places)
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text
}

/** The same with its sign, for a difference. */
export const signed = (value: number, places: number): string =>
  `${value > 0 ? '+' : ''}${decimal(value, places)}`

/** "13.2 ± 0.4": a standard uncertainty never reads as none because of its rounding. */
export const withU = (value: number, u: number): string => {
  const places = placesOf(u)
  return `${decimal(value, places)} ± ${decimal(u, places)}`
}

/** Decimals at which an uncertainty still shows. */
export const placesOf = (u: number): number => (u >= 0.1 ? 1 : u >= 0.01 ? 2 : 3)

/** Dissolved ozone: one decimal, the resolution bench meters show. */
export const concentration = (mgPerL: number | null | undefined): string => decimal(mgPerL, 1)

/** The band around a value, without its unit: "17.6 to 18.8"; null when either end is missing. */
export const band = (low: number | null, high: number | null, places = 1): string | null =>
  low === null || high === null ? null : `${decimal(low, places)} to ${decimal(high, places)}`

/** Keeps a number and its unit on one line. */
const NB = '\u00a0'

/** A length of time in words that cannot be taken for a time of day: "12 min 05 s". */
export const duration = (seconds: number): string => {
  const whole = Math.max(0, Math.floor(seconds))
  if (whole < 60) return `${whole}${NB}s`
  if (whole < 3600) return `${Math.floor(whole / 60)}${NB}min ${pad(whole % 60)}${NB}s`
  return `${Math.floor(whole / 3600)}${NB}h ${pad(Math.floor((whole % 3600) / 60))}${NB}min`
}

/** The same, as coarse as a glance needs: "4 min", "2 h 05 min", "3 days". */
export const roughly = (seconds: number): string => {
  const whole = Math.max(0, Math.floor(seconds))
  if (whole < 60) return `${whole}${NB}s`
  if (whole < 3600) return `${Math.floor(whole / 60)}${NB}min`
  if (whole < 48 * 3600) return duration(whole)
  return `${Math.floor(whole / 86_400)}${NB}days`
}

export const ago = (seconds: number): string => `${roughly(seconds)} ago`

/** The age of a value that arrives every second: the figure would only flicker between 0 and 1. */
export const justNow = (seconds: number): string => (seconds < 2 ? 'just now' : ago(seconds))

export const pad = (n: number): string => String(n).padStart(2, '0')

/** A volume; 5 rather than 5.00, 0.35 rather than 0.4. */
export const millilitres = (ml: number): string => `${Number(ml.toFixed(2))}${NB}mL`

const BYTES = ['bytes', 'kB', 'MB', 'GB', 'TB']

/** 1 kB = 1000 bytes (IEC 80000-13 keeps 1024 for KiB). */
export const bytes = (count: number): string => {
  const power = count < 1000 ? 0 : Math.min(BYTES.length - 1, Math.floor(Math.log10(count) / 3))
  return `${decimal(count / 1000 ** power, power === 0 ? 0 : 1)}${NB}${BYTES[power] ?? ''}`
}
