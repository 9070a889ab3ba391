import type { BatchHead, LiveBench } from '../server/wire.ts'
import { roughly } from '../server/wording/format.ts'
import type { PotencyShown } from './potency-shown.ts'

/**
 * Amount and volume, arithmetic only: amount [µg] = concentration [µg/mL] × volume [mL]. It is refused
 * whenever the concentration is not a present, calibrated measurement. It never proposes a number.
 */
export type Basis =
  | { readonly kind: 'usable'; readonly value: number; readonly low: number; readonly high: number }
  | { readonly kind: 'refused'; readonly why: string }

export interface Range {
  readonly low: number
  readonly high: number
}

export type VolumeAnswer =
  | { readonly kind: 'volume'; readonly ml: number; readonly exact: Range; readonly holds_ug: Range }
  | { readonly kind: 'refused'; readonly why: string }

/**
 * Fluid in a flask loses a few per cent in two minutes (3 % in 2 min at a half-life of 45 min, 5 % at 30): a typed value
 * older than that, by this browser's own clock, is not what is drawn. Chosen here, no source.
 */
export const BY_HAND_AT_MOST_S = 120

/** Smallest divisions of common syringes, mL. Common practice, no source: the person reads their own syringe. */
export const SYRINGE_MARKS_ML = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5] as const

export const drawBasis = (
  shown: PotencyShown,
  live: Pick<LiveBench, 'potency' | 'decision'>,
  batch: BatchHead,
  now_ms: number,
): Basis => {
  if (shown.form === 'not-live')
    return refused('There is no live value: arithmetic on an old or missing number is refused.')
  if (shown.form === 'by-hand' && !(shown.age_s <= BY_HAND_AT_MOST_S))
    return refused(
      `The reading is ${roughly(shown.age_s)} old; arithmetic takes one of at most 2 min. Take another reading.`,
    )
  if (shown.form === 'by-hand' && !shown.fresh)
    return refused('The reading cannot be told to be the newest: this screen is not connected.')
  if (shown.form === 'live' ? live.potency.calibration === null : live.decision === 'not-calibrated')
    return refused('The value is not calibrated: arithmetic on it is refused.')
  if (pastAgeLimit(batch, now_ms)) return refused('The batch is past its age limit.')
  if (shown.low_mg_l === null || shown.high_mg_l === null || shown.low_mg_l <= 0)
    return refused('The value has no usable band: a range cannot be given.')
  return { kind: 'usable', value: shown.value_mg_l, low: shown.low_mg_l, high: shown.high_mg_l }
}

/** Amount in a volume, µg, as a range. Null when the volume is no positive number. */
export const amountIn = (basis: Extract<Basis, { kind: 'usable' }>, ml: number): Range | null =>
  ml > 0 && Number.isFinite(ml) ? { low: basis.low * ml, high: basis.high * ml } : null

/** Volume that holds a wanted amount, rounded to the syringe's mark, and the range that rounded volume holds. */
export const volumeFor = (
  basis: Extract<Basis, { kind: 'usable' }>,
  wanted_ug: number,
  mark_ml: number,
  left_ml: number,
): VolumeAnswer => {
  if (!(wanted_ug > 0) || !(mark_ml > 0)) return refused('Type an amount and choose the mark of the syringe.')
  const ml = roundTo(wanted_ug / basis.value, mark_ml)
  if (ml <= 0) return refused('The volume is less than half a mark of this syringe.')
  if (ml > left_ml) return refused(`That would need ${ml} mL; ${Number(left_ml.toFixed(1))} mL are left.`)
  const exact = { low: wanted_ug / basis.high, high: wanted_ug / basis.low }
  return { kind: 'volume', ml, exact, holds_ug: { low: basis.low * ml, high: basis.high * ml } }
}

/** Rounded to a whole number of marks, free of binary dust (0.1 + 0.2). */
export const roundTo = (ml: number, mark_ml: number): number =>
  Number((Math.round(ml / mark_ml) * mark_ml).toFixed(3))

export const pastAgeLimit = (batch: BatchHead, now_ms: number): boolean =>
  batch.age_limit_min !== null && now_ms - Date.parse(batch.opened_at) > batch.age_limit_min * 60_000

const refused = (why: string): { readonly kind: 'refused'; readonly why: string } => ({
  kind: 'refused',
  why,
})
