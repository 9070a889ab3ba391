import type { ChannelLimits } from './channel-limits.ts'
import type { ChannelMap, Sent } from './channel-map.ts'
import type { Channel, Quality } from './reading.ts'

export interface Previous {
  readonly value: number
  readonly monoMs: number
}

/** Widest numbers that a channel can really have, when no range of its own is given. Engineering judgement. */
export const PLAUSIBLE_RANGE: Readonly<Record<Channel, readonly [number, number]>> = {
  'dissolved-ozone': [-2, 300],
  'fluid-temperature': [-5, 60],
  'gas-ozone': [-2, 300],
  'gas-flow': [-10, 20_000],
  'room-ozone': [-0.05, 20],
  ph: [0, 14],
  conductivity: [0, 200_000],
  'redox-potential': [-2000, 2000],
  'barometric-pressure': [50, 110],
}

/**
 * Greatest believable change where none is stated. Dissolved ozone cannot rise faster than Q · C / V, all of the gas
 * taken up: 500 mL/min of 100 µg/mL into 100 mL are 8.3 mg/L per s, the upper end of clinic practice (no source),
 * rounded up. Nothing takes ozone out faster but lifting the probe, and that is no fall of potency either.
 */
export const GREATEST_CHANGE_PER_S: Readonly<Partial<Record<Channel, number>>> = { 'dissolved-ozone': 10 }

/** A meter at its top often wavers by a last digit; 0.1 % of full scale below it still counts as topped out. */
const FULL_SCALE_SHARE = 0.999

/**
 * Quality of one number as it arrives. Marks, never drops: what to do with a marked reading is decided
 * where it is used. `previous` is the last believable value of the same channel in the same boot.
 */
export const judge = (value: number, monoMs: number, limits: ChannelLimits, previous?: Previous): Quality => {
  if (limits.fullScale !== undefined && value >= limits.fullScale * FULL_SCALE_SHARE) return 'clipped'
  const [least, greatest] = limits.range
  if (value < least || value > greatest) return 'out-of-range'
  if (previous && limits.maxChangePerS !== undefined) {
    const seconds = Math.max((monoMs - previous.monoMs) / 1000, 1e-3)
    if (Math.abs(value - previous.value) > limits.maxChangePerS * Math.max(seconds, 1))
      return 'implausible-rate'
  }
  return 'good'
}

/** What is stored of one number: as sent, in the canonical unit, and how far it can be believed. */
export interface Assessed {
  readonly raw: number | null
  readonly value: number | null
  readonly quality: Quality
}

/**
 * A bound is no measurement. `>20` is the top of a range like any other: clipped, with the bound as its value.
 * `<0.05` says only that the truth is below what the meter can tell: out of range, with the bound kept as sent and no
 * value, because `clipped` means "at least this" wherever it is used, and 0 would be a number nobody measured.
 */
export const assess = (sent: Sent, map: ChannelMap, monoMs: number, previous?: Previous): Assessed => {
  if (sent.kind === 'none') return { raw: null, value: null, quality: 'fault' }
  const { raw } = sent
  if (sent.kind === 'less-than') return { raw, value: null, quality: 'out-of-range' }
  const mark = map.signal?.(raw)
  if (mark === 'fault') return { raw, value: null, quality: 'fault' }
  const value = map.convert(raw)
  if (mark !== undefined) return { raw, value, quality: mark }
  const quality = judge(value, monoMs, map.limits, previous)
  return { raw, value, quality: sent.kind === 'at-least' && quality !== 'out-of-range' ? 'clipped' : quality }
}
