import type { Batch } from '../ledger/batch.ts'
import { decide } from '../verdict/decision.ts'
import type { LiveBench } from '../wire.ts'
import { spotValues } from './spot-mode.ts'

/**
 * What was above two minutes ago may not be now: fluid in a flask loses a few per cent in that time (5 % at a half-life of
 * 30 min). What was below still is. Chosen here, no source.
 */
const ABOVE_FOR_MS = 120_000
const NORMAL_ONE_SIDED = 1.644854

/**
 * The decision on the newest single reading, where too few of them make a curve: by the one rule of `decision.ts`, the reading's
 * own uncertainty and the calibration's together. A kit without a stated uncertainty and a meter without a calibration say
 * nothing.
 */
export const singleDecision = (batch: Batch, targetMgL: number, nowMs: number): LiveBench['decision'] => {
  const last = spotValues(batch).at(-1)
  if (last === undefined) return 'no-value'
  const { by, uPercent, valueMgL, calibration } = last
  if (uPercent === undefined || (by === 'meter' && calibration === undefined)) return 'not-calibrated'
  const se = (uPercent / 100) * Math.max(1, Math.abs(valueMgL))
  // of a kit the method's uncertainty also errs the same way every time, as where several readings are decided on
  const known = { uRelative: by === 'kit' ? uPercent / 100 : 0, uZeroMgPerL: calibration?.uMgL ?? 0 }
  const { word } = decide({ value: valueMgL, se, tOneSided: NORMAL_ONE_SIDED }, targetMgL, known)
  if (word === 'too-close') return 'too-close-to-say'
  const isOld = nowMs - Date.parse(last.at) > ABOVE_FOR_MS
  return word === 'above' && isOld ? 'no-value' : word
}
