/** Reaction orders tried on a decay. First order is the headline; the others need long records. */
export type DecayOrder = 1 | 1.5 | 2

/**
 * Dissolved ozone after t minutes, mg/L · n = 1: C0·e^(−k t); else C^(1−n) = C0^(1−n) + (n − 1)·k·t.
 * k in (mg/L)^(1−n)/min. Orders 1 to 2: Gardoni, Vailati & Canziani, Ozone Sci. Eng. 34, 233 (2012), from memory.
 */
export const decayed = (order: DecayOrder, start: number, rate: number, minutes: number): number =>
  order === 1
    ? start * Math.exp(-rate * minutes)
    : (start ** (1 - order) + (order - 1) * rate * minutes) ** (1 / (1 - order))

/** Minutes from C0 to C · n = 1: ln(C0/C)/k; else (C^(1−n) − C0^(1−n))/((n − 1)·k). Negative when C > C0. */
export const timeToReach = (order: DecayOrder, start: number, rate: number, target: number): number =>
  order === 1
    ? Math.log(start / target) / rate
    : (target ** (1 - order) - start ** (1 - order)) / ((order - 1) * rate)

/** Minutes to half of C0; for orders above 1 it depends on C0 · (2^(n−1) − 1)·C0^(1−n)/((n − 1)·k). */
export const halfLife = (order: DecayOrder, start: number, rate: number): number =>
  timeToReach(order, start, rate, start / 2)

/** Rate constant that gives a half-life from C0: the inverse of `halfLife`. */
export const rateForHalfLife = (order: DecayOrder, start: number, minutes: number): number =>
  halfLife(order, start, 1) / minutes
