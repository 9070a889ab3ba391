import type { TimeUs } from '../units.ts'

/** What a channel can measure, with the one unit its values are stored in. Units are converted once, at the edge. */
export const CANONICAL_UNIT = {
  'dissolved-ozone': 'mg/L',
  'fluid-temperature': '°C',
  'gas-ozone': 'µg/NmL',
  'gas-flow': 'mL/min',
  'room-ozone': 'ppm',
  ph: 'pH',
  conductivity: 'µS/cm',
  'redox-potential': 'mV',
  'barometric-pressure': 'kPa',
} as const

export type Channel = keyof typeof CANONICAL_UNIT
export const CHANNELS = Object.keys(CANONICAL_UNIT) as [Channel, ...Channel[]]

export const QUALITIES = [
  'good',
  'clipped',
  'out-of-range',
  'fault',
  'implausible-rate',
  'settling',
  'probe-out',
  'hand-entered',
  'stale-instrument',
] as const

/** `good` is the only quality that a fit uses as it is; every other one is marked, kept and never a plain number. */
export type Quality = (typeof QUALITIES)[number]

/** Which stream of readings: one measured quantity of one instrument at one bench. */
export interface SeriesKey {
  readonly bench: string
  readonly instrument: string
  readonly channel: Channel
}

/**
 * One value as it came, uncalibrated. `value` is in the canonical unit, null when the instrument gave no
 * number (never 0 and never NaN in its place). `movedUs` says how far `timeUs` was moved to stay strictly
 * increasing (a tie, or a wall clock that stepped back).
 */
export interface NewReading {
  readonly series: SeriesKey
  readonly timeUs: TimeUs
  readonly bootId: string
  readonly monoMs: number
  readonly raw: number | null
  readonly value: number | null
  readonly quality: Quality
  readonly movedUs: number
}

/** A reading that the store has made durable; `seq` is its order of arrival. */
export interface Reading extends NewReading {
  readonly seq: number
}

export const seriesName = (s: SeriesKey): string => `${s.bench}/${s.instrument}/${s.channel}`
