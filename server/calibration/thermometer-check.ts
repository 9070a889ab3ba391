import { againstLimit } from './line-from-points.ts'
import type { Measured } from './measured.ts'

/** A well-made ice bath of distilled water: 0.00 °C; u for one made with care in an open flask, from memory. */
export const ICE_POINT: Measured = { value: 0, u: 0.02 }

export interface ThermometerCheck {
  /** Shown less reference, °C. */
  readonly off: Measured
  readonly word: 'within' | 'outside' | 'cannot-tell'
}

/** A thermometer against the ice point or against another whose uncertainty is known; limit in °C. */
export const checkThermometer = (shown: Measured, reference: Measured, limitC: number): ThermometerCheck => {
  const off = { value: shown.value - reference.value, u: Math.hypot(shown.u, reference.u) }
  return { off, word: againstLimit(off, limitC) }
}
