import { type Celsius, celsius, type Ohms, ohms } from '../units.ts'

/** R0 of a Pt100 and the coefficients of its curve. Source: IEC 60751:2022, industrial platinum resistance thermometers. */
const R0 = 100
const A = 3.9083e-3
const B = -5.775e-7
const C = -4.183e-12

/** Where the standard's curve begins and ends. Same source. */
export const PT100_RANGE = { least: celsius(-200), greatest: celsius(850) } as const

/**
 * Resistance of a Pt100: R = R0 (1 + A t + B t² + C (t − 100) t³), the last term only below 0 °C.
 * t from −200 to 850 °C. Source: IEC 60751.
 */
export const pt100Resistance = (t: Celsius): Ohms =>
  ohms(R0 * (1 + A * t + B * t ** 2 + (t < 0 ? C * (t - 100) * t ** 3 : 0)))

/** Newton's steps below 0 °C: the curve is almost straight, four already reach the last digit. */
const STEPS = 6

/**
 * Temperature from the resistance of a Pt100. From 0 °C up the quadratic is solved directly; below, the same root is
 * the start of Newton's method on the quartic. Undefined outside −200 to 850 °C: a broken or shorted sensor.
 */
export const pt100Temperature = (resistance: Ohms): Celsius | undefined => {
  const inRange =
    resistance >= pt100Resistance(PT100_RANGE.least) && resistance <= pt100Resistance(PT100_RANGE.greatest)
  if (!inRange) return undefined
  let t: number = (-A + Math.sqrt(A ** 2 - 4 * B * (1 - resistance / R0))) / (2 * B)
  if (resistance >= R0) return celsius(t)
  for (let step = 0; step < STEPS; step++)
    t -= (pt100Resistance(celsius(t)) - resistance) / (R0 * (A + 2 * B * t + C * (4 * t - 300) * t ** 2))
  return celsius(t)
}
