import { analyseBatch } from '../../server/analysis/analyse-batch.ts'
import type { AnalysedPhase, Quantity } from '../../server/analysis/schema.ts'
import { START_US } from '../server/analysis/batch-input.ts'
import { type NoiseRecipe, noiseOf, randomFrom } from '../server/fit/random.ts'
import {
  CALIBRATED,
  type Judged,
  SCENES,
  type Scene,
  TROUBLES,
  type Trouble,
  U_LAG_S,
} from './interval-scenes.ts'
import { halfLifeLimit, readingAt, riseLimits, type Truth } from './interval-truth.ts'
import { percent, printTable } from './table.ts'

export interface Counted {
  readonly about: Judged
  given: number
  held: number
  /** Width of each interval over that of the Cramér-Rao limit. */
  readonly widths: number[]
}

/** How often the 95 % intervals of one scene hold the truth, and how wide they are beside the Cramér-Rao limit. */
export const countIntervals = (
  scene: Scene,
  trouble: Trouble,
  replicates: number,
  counting: 'all' | 'type A alone' = 'all',
): Counted[] => {
  const isFull = trouble.calibration !== undefined && counting === 'all'
  const counted = scene.of.map((about): Counted => ({ about, given: 0, held: 0, widths: [] }))
  const limits = new Map<Judged, number>()
  for (let seed = 1; seed <= replicates; seed++) {
    const batch = draw(scene, trouble, seed)
    const { phases } = analyseBatch(batch.input)
    for (const count of counted) {
      const interval = intervalOf(phases, count.about, isFull)
      if (interval === undefined) continue
      const value = truthOf(scene, count.about)
      count.given++
      if (interval.low <= value && value <= interval.high) count.held++
      const limit = trouble.missing === undefined ? limits.get(count.about) : undefined
      const sd = limit ?? limitOf(batch, trouble, count.about)
      limits.set(count.about, sd)
      const width =
        count.about === 'plateau' ? interval.high - interval.low : Math.log(interval.high / interval.low)
      count.widths.push(width / (2 * 1.959964 * sd))
    }
  }
  return counted
}

const PLATEAU = 20
const HALF_LIFE_MIN = 30

const truthOf = ({ riseRate }: Scene, about: Judged): number =>
  ({ plateau: PLATEAU, k: riseRate, t95: Math.log(20) / riseRate, 'half-life': HALF_LIFE_MIN })[about]

const draw = (scene: Scene, trouble: Trouble, seed: number) => {
  const { riseMin, riseRate, decayMin } = scene
  const { uniform, normal } = randomFrom(104_729 * seed)
  const stated = trouble.lagS ?? 0
  const lagS = stated === 0 ? 0 : stated + U_LAG_S * normal()
  const truth: Truth = { riseMin, riseRate, plateau: PLATEAU, halfLifeMin: HALF_LIFE_MIN, lagS }
  const n = Math.round(60 * (riseMin + decayMin))
  const noise = noiseOf(n, trouble.noise, 7919 * seed)
  const isKept = keeper(n, trouble.missing ?? 0, uniform)
  const seconds = Float64Array.from(Array.from({ length: n }, (_, i) => i).filter(isKept))
  const step = trouble.rounding ?? 0
  const slope = 1 + (trouble.calibration?.uRelative ?? 0) * normal()
  const zero = (trouble.calibration?.uZeroMgPerL ?? 0) * normal()
  const values = seconds.map((s) => {
    const spike = uniform() < (trouble.spikes ?? 0) ? 4 : 0
    const value = slope * readingAt(truth, s / 60) + zero + (noise[s] ?? 0) + spike
    return step > 0 ? Math.round(value / step) * step : value
  })
  const offS = 60 * riseMin
  return {
    truth: { ...truth, lagS: stated },
    seconds,
    offS,
    input: {
      startUs: START_US,
      timesS: seconds,
      potencyMgPerL: values,
      events: [
        { kind: 'ozone-on' as const, atS: 0 },
        { kind: 'ozone-off' as const, atS: offS },
        { kind: 'flow-off' as const, atS: offS },
      ],
      nowS: n,
      probeLag: { tauS: stated, uS: stated === 0 ? 0 : U_LAG_S },
      ...(trouble.calibration === undefined ? {} : { calibration: trouble.calibration }),
      ...(scene.history === true ? { noiseHistory: historyOf(trouble.noise) } : {}),
    },
  }
}

const historyOf = ({ sd, correlationS, white: whiteFraction }: NoiseRecipe) => ({
  sdMgPerL: sd,
  correlationTimeS: correlationS,
  whiteFraction,
})

/** Gaps of half a minute at random places until the part is missing. */
const keeper = (n: number, part: number, uniform: () => number): ((second: number) => boolean) => {
  const missing = new Set<number>()
  while (missing.size < part * n) {
    const from = Math.floor(uniform() * (n - 30))
    for (let s = from; s < from + 30; s++) missing.add(s)
  }
  return (second) => !missing.has(second)
}

const limitOf = (
  { truth, seconds, offS }: ReturnType<typeof draw>,
  { noise }: Trouble,
  about: Judged,
): number => {
  if (about === 'half-life')
    return halfLifeLimit(
      truth,
      seconds.filter((s) => s >= offS).map((s) => (s - offS) / 60),
      noise,
      U_LAG_S,
    )
  const limits = riseLimits(
    truth,
    seconds.filter((s) => s < offS).map((s) => s / 60),
    noise,
    U_LAG_S,
  )
  return { plateau: limits.plateau, k: limits.lnRate, t95: limits.lnT95 }[about]
}

const intervalOf = (phases: readonly AnalysedPhase[], about: Judged, full: boolean) => {
  const rise = phases.find((p) => p.kind === 'rise')
  const decay = phases.find((p) => p.kind === 'decay')
  const quantity: Quantity | undefined = {
    plateau: rise?.plateau_mg_l,
    k: rise?.rate_per_min,
    t95: rise?.t95_min,
    'half-life': decay?.half_life_min,
  }[about]
  if (quantity === undefined || !('value' in quantity)) return undefined
  const ends = full ? quantity.full_ci95 : quantity.ci95
  return ends && { low: ends[0], high: ends[1] }
}

export const medianOf = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN

/** Every scene under every trouble. About 10 ms a replicate and row. */
export const printIntervalTable = (replicates = 100): void => {
  console.log(
    `95 % intervals (type A) of whole batches, sd 0.2 mg/L, 1 Hz: ${replicates} batches a row, seeds 1 to ${replicates}; width: median over the Cramér-Rao limit of that noise`,
  )
  printTable(
    ['batch', 'readings', 'of', 'given %', 'covered % of given', 'width / limit'],
    rowsOf(SCENES, TROUBLES, replicates),
  )
  console.log(
    `full 95 % intervals (type A and B), calibration drawn at random (slope 5 %, zero 0.2 mg/L): ${replicates} batches a row, seeds 1 to ${replicates}`,
  )
  printTable(
    ['batch', 'readings', 'of', 'given %', 'covered % of given', 'width / limit without calibration'],
    rowsOf(SCENES.slice(0, 2), CALIBRATED, replicates),
  )
}

const rowsOf = (
  scenes: readonly Scene[],
  troubles: readonly Trouble[],
  replicates: number,
): readonly string[][] =>
  scenes.flatMap((scene) =>
    troubles.flatMap((trouble) =>
      countIntervals(scene, trouble, replicates).map((c) => [
        scene.name,
        trouble.name,
        c.about,
        percent(c.given, replicates),
        percent(c.held, c.given),
        c.given === 0 ? '-' : medianOf(c.widths).toFixed(2),
      ]),
    ),
  )
