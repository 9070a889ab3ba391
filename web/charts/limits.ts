import type { XY } from './point.ts'

/** Where the axes begin and end, and the distance between two lines of the grid, mg/L. */
export interface Limits {
  readonly x: readonly [from: number, to: number]
  readonly y: readonly [from: number, to: number]
  readonly step: number
}

/** Bench meters scatter by a few tenths about an empty flask: less than this below zero is noise. Common practice, no source. */
const NOISE_MG_L = 1
const MOST_STEPS = 6
const HEADROOM = 1.02
const LEAST_TOP_MG_L = 2

/**
 * The y axis begins at 0, or at the whole unit under a reading that lies clearly below; it ends at the first grid
 * line over everything drawn.
 */
export const yLimits = (
  readings: readonly XY[],
  drawn: readonly (readonly XY[])[],
): Pick<Limits, 'y' | 'step'> => {
  const lowest = Math.min(0, ...numbers(readings))
  const highest = Math.max(LEAST_TOP_MG_L, ...[readings, ...drawn].map(greatest))
  const from = lowest > -NOISE_MG_L ? 0 : Math.floor(lowest)
  const step = stepFor(highest * HEADROOM - from)
  return { y: [from, Math.ceil((highest * HEADROOM) / step) * step], step }
}

/** Lines of the grid: whole steps, and the lower end itself when it lies a fair way under zero. */
export const yTicks = ({ y: [from, to], step }: Pick<Limits, 'y' | 'step'>): readonly number[] => {
  const first = Math.ceil(from / step)
  const whole = Array.from({ length: Math.round(to / step) - first + 1 }, (_, i) => (first + i) * step)
  return from < 0 && -from >= step * 0.4 && whole[0] !== from ? [from, ...whole] : whole
}

/** 1, 2 or 5 times a power of ten. */
const stepFor = (span: number): number => {
  const rough = span / MOST_STEPS
  const ten = 10 ** Math.floor(Math.log10(rough))
  return ten * ([1, 2, 5].find((n) => n * ten >= rough) ?? 10)
}

const numbers = (points: readonly XY[]): readonly number[] =>
  points.flatMap(({ y }) => (y === null ? [] : [y]))

const greatest = (points: readonly XY[]): number =>
  points.reduce((most, { y }) => (y !== null && y > most ? y : most), 0)
