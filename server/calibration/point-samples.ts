import { ServerError } from '../errors.ts'
import type { Point } from './line-from-points.ts'
import { referenceValue } from './reference-value.ts'

/** A reference value is typed with three decimals. */
const ROUNDED = 0.0006

/**
 * Throws `bad-request` when a point's reference value is not the one its sample gives, or its sample gives only a bound:
 * dye nearly used up (at least), other oxidants counted too (at most).
 */
export const checkSamples = (points: readonly Point[]): void => {
  for (const [i, { reference, u_reference, sample }] of points.entries()) {
    if (sample === undefined) continue
    const found = referenceValue(sample)
    if (found.kind !== 'value')
      throw new ServerError(
        'bad-request',
        `point ${i + 1} rests on a sample that gives only a bound: ${found.notes.join('; ')}`,
        {
          fix: 'take another sample, or type a reference value with an uncertainty of your own',
        },
      )
    const isSame =
      Math.abs(found.mg_l - reference) <= ROUNDED && Math.abs(found.u_own_mg_l - u_reference) <= ROUNDED
    if (!isSame)
      throw new ServerError(
        'bad-request',
        `point ${i + 1} says ${reference} ± ${u_reference} mg/L, its sample gives ${found.mg_l.toFixed(3)} ± ${found.u_own_mg_l.toFixed(3)}`,
        { fix: 'send the point without its sample, or with the value the sample gives' },
      )
  }
}
