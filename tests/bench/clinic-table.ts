import { chanceOfPrep } from '../../server/trial/power.ts'
import { powerOf } from '../../server/trial/stats/batches-needed.ts'
import { equivalence } from '../../server/trial/stats/equivalence.ts'
import { logToleranceBound } from '../../server/trial/stats/tolerance-bound.ts'
import { welch } from '../../server/trial/stats/welch.ts'
import { randomFrom } from '../server/fit/random.ts'
import { percent, printTable } from './table.ts'

/** Batches of an invented clinic differ by this, standard deviation of the logarithms. */
export const SPREAD = 0.1
const DEMAND = { coverage: 0.9, confidence: 0.95 }
/** 90 % of a normal lie under the mean and this many standard deviations. */
const Z90 = 1.2815515655446004
const ALPHA = 0.05
const MARGIN = 0.1

/** Logarithms of what batches show: their own scatter, and what each fit is off by. */
const drawn = (n: number, mean: number, sd: number, normal: () => number): number[] =>
  Array.from({ length: n }, () => mean + sd * normal())

/** What a batch shows scatters by more than batches do: `within` is the error of each as a part of their spread. */
const shown = (within: number): number => SPREAD * Math.hypot(1, within)

export interface BoundCase {
  readonly n: number
  readonly within: number
}

export const BOUNDS: readonly BoundCase[] = [3, 5, 10].flatMap((n) =>
  [0, 0.3, 0.6].map((within) => ({ n, within })),
)

/** How often the upper bound from n batches lies over what 90 % of all batches need, true times 6 min in the middle. */
export const countBound = ({ n, within }: BoundCase, trials: number): number => {
  const { normal } = randomFrom(9973 * n + 101 * Math.round(10 * within))
  const needed = 6 * Math.exp(Z90 * SPREAD)
  let covered = 0
  for (let i = 0; i < trials; i++) {
    const minutes = drawn(n, Math.log(6), shown(within), normal).map(Math.exp)
    if (logToleranceBound(minutes, 'upper', DEMAND).value >= needed) covered++
  }
  return covered / trials
}

export interface PairCase {
  readonly first: number
  readonly second: number
  /** Spread of the second group over that of the first. */
  readonly spreads: number
  /** True ratio of the two. */
  readonly ratio: number
}

export interface PairCount {
  /** Part of the trials in which a difference, or equivalence within ± 10 %, is shown. */
  readonly different: number
  readonly equivalent: number
}

export const countPairs = ({ first, second, spreads, ratio }: PairCase, trials: number): PairCount => {
  const { normal } = randomFrom(7919 * first + 101 * second + Math.round(1000 * ratio) + spreads)
  let [different, equivalent] = [0, 0]
  for (let i = 0; i < trials; i++) {
    const a = drawn(first, Math.log(ratio), SPREAD, normal)
    const b = drawn(second, 0, SPREAD * spreads, normal)
    const found = welch(a, b)
    if (found.p < ALPHA) different++
    if (equivalence(found, Math.log1p(MARGIN), ALPHA).equivalent) equivalent++
  }
  return { different: different / trials, equivalent: equivalent / trials }
}

/** Ten batches of one fluid, split five and five at random: how often a difference is shown. */
export const countSplits = (splits: number): number => {
  const { normal, uniform } = randomFrom(31)
  let shownOften = 0
  for (let i = 0; i < splits; i++) {
    const ten = drawn(10, 0, SPREAD, normal)
      .map((value) => ({ value, at: uniform() }))
      .sort((a, b) => a.at - b.at)
      .map(({ value }) => value)
    if (welch(ten.slice(0, 5), ten.slice(5)).p < ALPHA) shownOften++
  }
  return shownOften / splits
}

export const SAME: readonly PairCase[] = [
  ...[3, 5, 10, 20].map((n) => ({ first: n, second: n, spreads: 1, ratio: 1 })),
  { first: 3, second: 10, spreads: 1, ratio: 1 },
  { first: 5, second: 10, spreads: 3, ratio: 1 },
  { first: 10, second: 5, spreads: 3, ratio: 1 },
]
/** At the very margin: what is called equivalent here is wrongly so. */
export const AT_THE_MARGIN: readonly PairCase[] = SAME.map((c) => ({ ...c, ratio: 1 + MARGIN }))
export const APART: readonly PairCase[] = [
  ...[5, 10].flatMap((n) => [1.1, 1.2, 1.5].map((ratio) => ({ first: n, second: n, spreads: 1, ratio }))),
]

/** How often a prep-time trial shows what is there: the bound lies within the planned time. */
export const countPrep = (n: number, planned: number, trials: number): number => {
  const { normal } = randomFrom(104_729 * n + Math.round(10 * planned))
  let met = 0
  for (let i = 0; i < trials; i++) {
    const minutes = drawn(n, Math.log(6), SPREAD, normal).map(Math.exp)
    if (logToleranceBound(minutes, 'upper', DEMAND).value <= planned) met++
  }
  return met / trials
}

export const PREP: readonly (readonly [n: number, planned: number])[] = [
  [5, 8],
  [5, 9],
  [10, 7.5],
  [10, 8],
]

/** About 10 µs a trial. */
export const printClinicTable = (trials = 5000): void => {
  console.log(`simulated clinics, batches differ by ${100 * SPREAD} %: ${trials} trials a row, fixed seeds`)
  printTable(
    ['upper bound for 90 % of batches at 95 %', 'batches', 'error of each / spread', 'covers %'],
    BOUNDS.map((c) => ['', String(c.n), c.within.toFixed(1), percent(countBound(c, trials), 1)]),
  )
  const groups = (c: PairCase) =>
    `${c.first} and ${c.second}${c.spreads === 1 ? '' : `, the second ${c.spreads}x the spread`}`
  const rows = (cases: readonly PairCase[]) =>
    cases.map((c) => {
      const { different, equivalent } = countPairs(c, trials)
      const planned =
        c.first === c.second && c.ratio > 1
          ? percent(powerOf(c.first, { ratio: c.ratio, sdLog: SPREAD, alpha: ALPHA }), 1)
          : '-'
      return [groups(c), c.ratio.toFixed(1), percent(different, 1), planned, percent(equivalent, 1)]
    })
  printTable(
    ['batches', 'true ratio', 'difference shown %', 'as planned %', 'within 10 % shown %'],
    [...rows(SAME), ...rows(AT_THE_MARGIN), ...rows(APART.filter((c) => c.ratio !== 1 + MARGIN))],
  )
  printTable(
    ['ten batches of one fluid split 5/5 at random', 'difference shown %'],
    [[`${Math.max(2000, trials)} splits`, percent(countSplits(Math.max(2000, trials)), 1)]],
  )
  printTable(
    ['prep time of 6 min in the middle', 'batches', 'planned min', 'shown %', 'as planned %'],
    PREP.map(([n, planned]) => {
      const chance = chanceOfPrep(n, { marginLog: Math.log(planned / 6), sdLog: SPREAD }, DEMAND)
      return ['', String(n), String(planned), percent(countPrep(n, planned, trials), 1), percent(chance, 1)]
    }),
  )
}
