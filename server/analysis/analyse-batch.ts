import { ambientOf } from '../model/gas-concentration.ts'
import { conditionNotes } from '../model/measured-conditions.ts'
import { decide } from '../verdict/decision.ts'
import { isoAt } from './batch-context.ts'
import { finiteReport } from './finite-report.ts'
import { type BatchFits, fitBatch } from './fit-batch.ts'
import { describeForecast, type Forecast, forecastFrom } from './forecast-report.ts'
import { withFullIntervals } from './full-interval.ts'
import type { AnalysisInput } from './input.ts'
import { type PotencyNow, potencyNow } from './potency-now.ts'
import type { Analysis } from './schema.ts'
import { setAsideList } from './set-aside.ts'
import { verdictsOf } from './verdict-report.ts'

/** The analysis of one batch up to `nowS`. Pure: the same input gives the same document. */
export const analyseBatch = (input: AnalysisInput): Analysis => describeBatch(fitBatch(input))

/** Writes the fits of a batch down as the document others read. */
export const describeBatch = (fits: BatchFits, last = lastForecast(fits)): Analysis => ({
  schema: 'spargewatch.analysis/1',
  readings: fits.readings.values.length,
  set_aside: setAsideList(fits.input, fits.readings, fits.aside),
  phases: fits.results.map((r) => finiteReport(withFullIntervals(r, fits.input.calibration))),
  ...targetPart(fits, last),
  verdicts: verdictsOf(fits),
  notes: [...fits.readings.notes, ...disagreementNotes(fits), ...measuredNotes(fits)],
})

export interface LastForecast {
  readonly atS: number
  readonly target: number
  readonly potency: PotencyNow | undefined
  readonly forecast: Forecast
}

/** The forecast at the last moment the batch is known: now, or the last reading if that is earlier. */
export const lastForecast = (fits: BatchFits): LastForecast | undefined => {
  const { input, results } = fits
  const target = input.targetMgPerL
  if (target === undefined) return undefined
  const result = results.at(-1)
  const atS = Math.min(input.nowS, fits.readings.timesS.at(-1) ?? input.nowS)
  const potency = potencyNow(fits, result, atS)
  return { atS, target, potency, forecast: forecastFrom(fits, result, potency, atS, target) }
}

const targetPart = (
  { input }: BatchFits,
  last: LastForecast | undefined,
): Pick<Analysis, 'forecast' | 'decision'> => {
  if (last === undefined) return {}
  const { atS, target, potency } = last
  const forecast = describeForecast(input, last.forecast, atS, target)
  if (potency === undefined) return { forecast }
  const { word, lower, upper } = decide(potency, target, input.calibration)
  return { forecast, decision: { target_mg_l: target, word, lower_mg_l: lower, upper_mg_l: upper } }
}

/** What instruments beside the flask say of the settings that were recorded. */
const measuredNotes = ({ input: { expectation: given } }: BatchFits): string[] =>
  given?.measured === undefined
    ? []
    : conditionNotes(given.fluid, given.measured, given.recorded ?? {}, ambientOf(given))

const disagreementNotes = ({ input, disagreements }: BatchFits): string[] =>
  disagreements.map(({ kind, signalS, enteredS }) => {
    const words = kind.replace('-', ' ')
    return enteredS === undefined
      ? `the reading turns at ${isoAt(input, signalS)} as at ${words}, which nobody entered`
      : `${words} was entered at ${isoAt(input, enteredS)}; the reading turns at ${isoAt(input, signalS)}`
  })
