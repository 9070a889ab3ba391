import { fitBatch } from '../../server/analysis/fit-batch.ts'
import { type Forecast, forecastFrom } from '../../server/analysis/forecast-report.ts'
import type { AnalysisEvent, AnalysisInput, BatchHistory } from '../../server/analysis/input.ts'
import { potencyNow } from '../../server/analysis/potency-now.ts'
import { START_US } from '../server/analysis/batch-input.ts'
import { type NoiseRecipe, noiseOf } from '../server/fit/random.ts'
import { type Recipe, syntheticBatch } from '../server/phase/synthetic-batch.ts'

/** Bubbled long enough to be known, s; the decay starts here. */
export const FLOW_OFF_S = 600
const START_MG_L = 20
const RISE_RATE = 0.6

export interface ForecastCase {
  readonly noise: NoiseRecipe
  readonly halfLifeMin: number
  /** Parts of the value at flow-off. */
  readonly targets: readonly number[]
  /** Minutes after flow-off. */
  readonly looks: readonly number[]
  readonly order?: number
  readonly energyKj?: number
  /** Warms from 5 °C toward 22 °C with this time constant, min; steady at 20 °C without. */
  readonly warmsInMin?: number
  /** Drawn up at this minute; the value steps by this part. */
  readonly drawUp?: { readonly minute: number; readonly stepBy: number }
  /** The clinic's own batches, as each drawing finds them. */
  readonly history?: (seed: number) => BatchHistory
  readonly expectation?: AnalysisInput['expectation']
  /** Step of the display, mg/L. */
  readonly rounding?: number
}

/** One look at one batch: minutes from flow-off. */
export interface Look {
  readonly look: number
  readonly target: number
  readonly truth: number
  readonly forecast: Forecast
}

export interface Trial {
  /** mg/L by the second. */
  readonly truth: Float64Array
  readonly looksAt: (seed: number) => Look[]
}

/** A situation with its truth, ready to be looked at with noise after noise. */
export const forecastTrial = (situation: ForecastCase): Trial => {
  const truth = truthOf(situation)
  const crossings = situation.targets.map((target) => crossingMin(truth, START_MG_L * target))
  const longest = Math.min(truth.length, FLOW_OFF_S + 60 * Math.max(...situation.looks))
  const timesS = Float64Array.from({ length: longest }, (_, i) => i)
  const looksAt = (seed: number): Look[] => {
    const noise = noiseOf(longest, situation.noise, 6151 * seed)
    const step = situation.rounding ?? 0
    const shown = (v: number) => (step > 0 ? step * Math.round(v / step) : v)
    const values = timesS.map((_, i) => shown((truth[i] ?? 0) + (noise[i] ?? 0)))
    return situation.looks.flatMap((look) => {
      const open = crossings.map((truthMin, i) => ({ truthMin, target: situation.targets[i] ?? 0 }))
      return forecasts(
        inputAt(situation, timesS, values, look, seed),
        look,
        open.filter((c) => c.truthMin > look),
      )
    })
  }
  return { truth, looksAt }
}

const forecasts = (
  input: AnalysisInput,
  look: number,
  open: readonly { truthMin: number; target: number }[],
): Look[] => {
  const fits = fitBatch(input)
  const result = fits.results.at(-1)
  const potency = potencyNow(fits, result, input.nowS)
  return open.map(({ truthMin, target }) => ({
    look,
    target,
    truth: truthMin,
    forecast: forecastFrom(fits, result, potency, input.nowS, START_MG_L * target),
  }))
}

const inputAt = (
  situation: ForecastCase,
  timesS: Float64Array,
  values: Float64Array,
  look: number,
  seed: number,
): AnalysisInput => {
  const nowS = FLOW_OFF_S + 60 * look
  const known = timesS.subarray(0, nowS)
  const events: AnalysisEvent[] = [
    { kind: 'ozone-on', atS: 0 },
    { kind: 'ozone-off', atS: FLOW_OFF_S },
    { kind: 'flow-off', atS: FLOW_OFF_S },
  ]
  const { drawUp, history, expectation } = situation
  if (drawUp !== undefined && drawUp.minute <= look)
    events.push({ kind: 'drawn-up', atS: FLOW_OFF_S + 60 * drawUp.minute })
  // the thermometer shows tenths
  const celsius = known.map((s) => Math.round(10 * temperatureC(situation, s)) / 10)
  return {
    startUs: START_US,
    timesS: known,
    potencyMgPerL: values.subarray(0, nowS),
    temperature: { timesS: known, celsius },
    events,
    nowS,
    probeLag: { tauS: 0, uS: 0 },
    roomC: situation.warmsInMin === undefined ? 20 : 22,
    ...(history === undefined ? {} : { history: history(seed) }),
    ...(expectation === undefined ? {} : { expectation }),
  }
}

const temperatureC = ({ warmsInMin }: ForecastCase, s: number): number =>
  warmsInMin === undefined ? 20 : 22 - 17 * Math.exp(-s / 60 / warmsInMin)

const truthOf = (situation: ForecastCase): Float64Array => {
  const longestMin = situation.halfLifeMin * 6 + 60
  const recipe: Recipe = {
    stretches: [
      { kind: 'rise', seconds: FLOW_OFF_S },
      { kind: 'decay', seconds: Math.ceil(60 * longestMin) },
    ],
    ratePerMin: RISE_RATE,
    plateau: START_MG_L / (1 - Math.exp((-RISE_RATE * FLOW_OFF_S) / 60)),
    halfLifeMin: situation.halfLifeMin,
    temperatureC: (s) => temperatureC(situation, s),
    ...(situation.order === undefined ? {} : { order: situation.order }),
    ...(situation.energyKj === undefined ? {} : { energyKj: situation.energyKj }),
  }
  const { truth } = syntheticBatch(recipe)
  const { drawUp } = situation
  const from = drawUp === undefined ? truth.length : FLOW_OFF_S + 60 * drawUp.minute
  return Float64Array.from(truth, (c, s) => (s < from ? c : c * (1 + (drawUp?.stepBy ?? 0))))
}

/** Minutes from flow-off until the truth reaches a value, on a straight line between seconds. */
const crossingMin = (truth: Float64Array, value: number): number => {
  let s = FLOW_OFF_S
  while (s < truth.length && (truth[s] ?? 0) > value) s++
  const before = truth[s - 1] ?? Number.NaN
  const after = truth[s] ?? Number.NaN
  return (s - 1 + (before - value) / (before - after) - FLOW_OFF_S) / 60
}
