import { type NoiseRecipe, randomFrom } from '../server/fit/random.ts'
import { oracleMargin } from './forecast-oracle.ts'
import { type ForecastCase, forecastTrial, type Look } from './forecast-trial.ts'
import { median } from './row.ts'
import { percent, printTable } from './table.ts'

const noises: Readonly<Record<string, NoiseRecipe>> = {
  white: { sd: 0.2, correlationS: 0, white: 1 },
  'AR(1) 20 s': { sd: 0.2, correlationS: 20, white: 0 },
  mixed: { sd: 0.2, correlationS: 20, white: 0.3 },
}
const mixed = { sd: 0.2, correlationS: 20, white: 0.3 }
const targets = [0.3, 0.5, 0.7, 0.9]
const HALF_LIVES = [8, 20, 30, 60, 180]
/** Half-lives of the clinic's batches differ by so much, in the logarithm. */
const SPREAD = 0.1
const OWN_BATCHES = 12

/** A clinic's mean of twelve batches, this batch being one drawn from the same spread. */
const ownBatches = (halfLifeMin: number) => (seed: number) => {
  const { normal } = randomFrom(15_485_863 * seed)
  const meanLog = Math.log(halfLifeMin) + SPREAD * (normal() + normal() / Math.sqrt(OWN_BATCHES))
  return { batches: OWN_BATCHES, halfLife20cMin: { meanLog, sdLog: SPREAD } }
}

/** The unsafe side: this batch falls faster than the clinic's by a whole standard deviation. */
const longerLived = (halfLifeMin: number) => () => ({
  batches: OWN_BATCHES,
  halfLife20cMin: { meanLog: Math.log(halfLifeMin) + SPREAD, sdLog: SPREAD },
})
/** Physics that expects a plateau of about 20 mg/L at 20 °C. */
const expectation: NonNullable<ForecastCase['expectation']> = {
  fluid: 'saline',
  volumeMl: 250,
  gas: { ugPerMl: 90, reference: 'normal-0c-101kpa' },
  flowMlPerMin: 500,
  temperatureC: 20,
}

export interface NamedForecastCase extends ForecastCase {
  readonly name: string
}

/** A steady temperature and first order: readings alone, then with what is known beforehand. */
export const steadyCases: readonly NamedForecastCase[] = [
  ...Object.entries(noises).flatMap(([name, noise]) =>
    HALF_LIVES.map((halfLifeMin) => ({
      name: `${halfLifeMin} min, ${name}`,
      noise,
      halfLifeMin,
      targets,
      looks: [2, 5, 10, 20],
    })),
  ),
  // slow noise of 0.2, white of 0.05, a display of 0.01 mg/L
  ...[30, 180].map((halfLifeMin) => ({
    name: `${halfLifeMin} min, AR(1) 20 s, white and rounded`,
    ...{ noise: { sd: Math.hypot(0.2, 0.05), correlationS: 20, white: 1 / 17 }, rounding: 0.01 },
    ...{ halfLifeMin, targets, looks: [2, 5, 10, 20] },
  })),
  ...HALF_LIVES.flatMap((halfLifeMin) => {
    const common = { noise: mixed, halfLifeMin, targets, looks: [0, 2, 5, 10, 20] }
    return [
      { name: `${halfLifeMin} min, own batches`, ...common, history: ownBatches(halfLifeMin) },
      { name: `${halfLifeMin} min, longer-lived own batches`, ...common, history: longerLived(halfLifeMin) },
      { name: `${halfLifeMin} min, physics band`, ...common, expectation },
    ]
  }),
]

/** What a plain first-order forecast gets wrong: warming, other orders, a draw-up that steps the reading. */
export const hardCases: readonly NamedForecastCase[] = [
  ...[1, 1.5, 2].flatMap((order) =>
    [20, 40, 60].flatMap((warmsInMin) =>
      [50, 65, 78].map((energyKj) => ({
        name: `5 to 22 °C in ${warmsInMin} min, order ${order}, ${energyKj} kJ/mol`,
        ...{ noise: mixed, halfLifeMin: 30, targets: [0.5, 0.7], looks: [5, 10, 20] },
        ...{ order, warmsInMin, energyKj },
      })),
    ),
  ),
  ...[1.5, 2].map((order) => ({
    name: `20 °C, order ${order}`,
    ...{ noise: mixed, halfLifeMin: 30, targets, looks: [2, 5, 10, 20], order },
  })),
  ...[-0.05, 0, 0.03].map((stepBy) => ({
    name: `drawn up at 10 min, value steps by ${100 * stepBy} %`,
    ...{ noise: mixed, halfLifeMin: 30, targets: [0.3, 0.5], looks: [10.1, 10.5, 11, 15, 20] },
    drawUp: { minute: 10, stepBy },
  })),
]

export interface LookCount {
  readonly look: number
  readonly looks: number
  readonly given: number
  readonly fromReadings: number
  /** Early bound before the true crossing. */
  readonly before: number
  /** Median over targets of (median (truth − bound))/(the same of an estimator told noise and model). */
  readonly overOracle: number
  /** Median of (truth − bound) over what truly remained. */
  readonly earlyBy: number
}

export interface ForecastCount {
  readonly looks: readonly LookCount[]
  /** Batches whose bound was at no look and target later than the truth by more than max(1 min, 5 %). */
  readonly neverLate: number
}

export const countForecasts = (situation: ForecastCase, replicates: number): ForecastCount => {
  const trial = forecastTrial(situation)
  const batches = Array.from({ length: replicates }, (_, i) => trial.looksAt(i + 1))
  const isLate = (l: Look) => -marginOf(l) > Math.max(1, 0.05 * l.truth)
  return {
    looks: situation.looks.map((look) => {
      const all = batches.flat().filter((l) => l.look === look)
      const given = all.filter((l) => l.forecast.kind === 'known')
      return {
        look,
        looks: all.length,
        given: given.length,
        fromReadings: given.filter((l) => l.forecast.kind === 'known' && l.forecast.basis === 'readings')
          .length,
        before: given.filter((l) => marginOf(l) > 0).length,
        overOracle: overOracle(situation, look, given),
        earlyBy: given.length === 0 ? Number.NaN : median(given.map((l) => marginOf(l) / (l.truth - look))),
      }
    }),
    neverLate: batches.filter((looks) => !looks.some(isLate)).length,
  }
}

/** Minutes the early bound lies before the truth; NaN when no forecast was given. */
const marginOf = ({ look, truth, forecast }: Look): number =>
  forecast.kind === 'known' ? truth - look - forecast.early : Number.NaN

const overOracle = (situation: ForecastCase, look: number, given: readonly Look[]): number => {
  const beyondOracle = situation.warmsInMin ?? situation.order ?? situation.drawUp
  if (look === 0 || beyondOracle !== undefined) return Number.NaN
  const ratios = situation.targets.flatMap((target) => {
    const margins = given.filter((l) => l.target === target).map(marginOf)
    if (margins.length === 0) return []
    return [median(margins) / oracleMargin(situation.noise, situation.halfLifeMin, look, target)]
  })
  return median(ratios)
}

/** Time from draw-up to use that the alarm looks ahead, min. */
const LEAD_MIN = 5

export interface AlarmCount {
  readonly alarms: number
  /** Median minutes between the alarm and the crossing. */
  readonly ahead: number
}

/** Looked at every minute: the alarm comes when the early bound is no further away than the lead time. */
export const countAlarms = (
  situation: ForecastCase,
  target: number,
  replicates: number,
  crossingMin: number,
): AlarmCount => {
  const looks = Array.from({ length: Math.ceil(crossingMin) - 1 }, (_, i) => i + 1)
  const trial = forecastTrial({ ...situation, targets: [target], looks })
  const ahead: number[] = []
  for (let seed = 1; seed <= replicates; seed++) {
    const first = trial.looksAt(seed).find((l) => l.forecast.kind === 'known' && l.forecast.early <= LEAD_MIN)
    if (first !== undefined) ahead.push(first.truth - first.look)
  }
  return { alarms: ahead.length, ahead: median(ahead) }
}

const printAlarms = (replicates: number): void => {
  console.log(
    `alarm ${LEAD_MIN} min ahead of half the value: ${replicates} batches a row, looked at every minute`,
  )
  const rows = Object.entries(noises).flatMap(([name, noise]) =>
    [8, 20, 30].map((halfLifeMin) => {
      const situation = { noise, halfLifeMin, targets: [0.5], looks: [] }
      const c = countAlarms(situation, 0.5, replicates, halfLifeMin)
      return [`${halfLifeMin} min, ${name}`, percent(c.alarms, replicates), c.ahead.toFixed(1)]
    }),
  )
  printTable(['half-life', 'before the crossing %', 'ahead by, min'], rows)
}

/** Runs every case. About 2 ms a look. */
export const printForecastTable = (replicates = 60): void => {
  console.log(`forecast: value at flow-off 20 mg/L, ${replicates} batches a row, seeds 1 to ${replicates}`)
  const rows = [...steadyCases, ...hardCases].flatMap((situation) => {
    const { looks, neverLate } = countForecasts(situation, replicates)
    return looks.map((l, i) => [
      i === 0 ? situation.name : '',
      String(l.look),
      percent(l.given, l.looks),
      percent(l.fromReadings, l.given),
      percent(l.before, l.given),
      Number.isNaN(l.overOracle) ? '-' : `${l.overOracle.toFixed(2)}x`,
      percent(l.earlyBy, 1),
      i === 0 ? percent(neverLate, replicates) : '',
    ])
  })
  printTable(
    [
      'half-life, what is known',
      'look min',
      'given %',
      'by readings %',
      'before %',
      'margin',
      'early by %',
      'never late %',
    ],
    rows,
  )
  printAlarms(replicates)
}
