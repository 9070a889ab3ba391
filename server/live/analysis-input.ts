import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { AnalysisEvent, AnalysisInput, BatchHistory, NoiseHistory } from '../analysis/input.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { ExpectationInput } from '../model/expectation.ts'
import type { MeasuredConditions, Recorded } from '../model/measured-conditions.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import { isSpotMode, type SpotValue, spotValues } from '../spot/spot-mode.ts'
import type { ChannelMemory } from './bench-memory.ts'
import { stepsWithin, sumOfStepsUs } from './clock-steps.ts'
import { type Companions, conditionsOf, gasTracks } from './companions.ts'

/** Readings before the first event that a batch's analysis also sees. */
const LEAD_IN_US = 60e6

/** Zero of the batch's axis. */
export const batchStartUs = (batch: Batch): TimeUs => {
  const first = [batch.openedAt, ...batch.ozoneOnAt].map((at) => Date.parse(at) * 1000)
  return timeUs(Math.min(...first) - LEAD_IN_US)
}

export interface InputParts {
  readonly batch: Batch
  readonly startUs: TimeUs
  readonly potency: ChannelMemory
  readonly temperature: ChannelMemory
  readonly companions: Companions
  readonly fullScaleMgL: number | null
  readonly history: BatchHistory | undefined
  readonly noise: NoiseHistory | undefined
  readonly rulesOfThumb: readonly RuleOfThumb[]
  readonly clockSteps: readonly Entry[]
  readonly nowS: number
}

/** A batch and its readings, in the form the kinetics take. */
export const analysisInput = (parts: InputParts): AnalysisInput => {
  const { batch, potency, temperature } = parts
  const spot = isSpotMode(batch)
  const byHand = spot || potency.values.length === 0 ? spotReadings(parts) : undefined
  const gas = gasTracks(parts.companions)
  const expectation = expectationInput(
    batch,
    meanOf(temperature.values.view()),
    conditionsOf(parts.companions),
  )
  // spot readings were taken once the probe had settled
  const probeLag = spot ? undefined : potency.tally.probeLag()
  return {
    // moments that come out are told by the wall clock as it goes now: people compare them with it
    startUs: timeUs(parts.startUs + sumOfStepsUs(stepsWithin(batch, parts.clockSteps))),
    ...readingsPart(parts, byHand, spot),
    ...(temperature.values.length > 0
      ? { temperature: { timesS: temperature.timesS.view(), celsius: temperature.values.view() } }
      : {}),
    events: events(parts),
    ...(probeLag === undefined ? {} : { probeLag }),
    ...(parts.fullScaleMgL === null ? {} : { rangeMaxMgPerL: parts.fullScaleMgL }),
    ...(batch.settings.target_mg_l === undefined ? {} : { targetMgPerL: batch.settings.target_mg_l }),
    ...(expectation ? { expectation } : {}),
    ...(gas ? { gas } : {}),
    ...calibrationPart(potency, byHand),
    ...(parts.history ? { history: parts.history } : {}),
    ...(parts.noise ? { noiseHistory: parts.noise } : {}),
    rulesOfThumb: parts.rulesOfThumb,
    nowS: parts.nowS,
  }
}

/** Wall time of an entry on the steady axis: less the steps within the batch that were recorded before it was entered. */
export const entryElapsedS = (
  entry: Pick<Entry, 'happened_at' | 'seq'>,
  startUs: TimeUs,
  clockSteps: readonly Entry[],
): number => {
  const stepped = sumOfStepsUs(clockSteps.filter((step) => step.seq < entry.seq))
  return (Date.parse(entry.happened_at) * 1000 - startUs - stepped) / 1e6
}

/** Where on the axis the batch's own readings begin: at the first ozone-on, until then at the opening. */
export const fillStartS = (batch: Batch, startUs: TimeUs, clockSteps: readonly Entry[]): number => {
  const first =
    batch.entries.find((e) => e.kind === 'ozone-on' && !batch.undone.has(e.id)) ??
    batch.entries.find((e) => e.kind === 'batch-opened')
  return first ? entryElapsedS(first, startUs, stepsWithin(batch, clockSteps)) : 0
}

const ANALYSED = new Set([
  'ozone-on',
  'ozone-off',
  'flow-off',
  'drawn-up',
  'discarded',
  'probe-in',
  'probe-out',
])

const events = ({ batch, startUs, clockSteps }: InputParts): AnalysisEvent[] => {
  const steps = stepsWithin(batch, clockSteps)
  return batch.entries
    .filter((entry) => ANALYSED.has(entry.kind) && !batch.undone.has(entry.id))
    .map((entry) => ({
      kind: entry.kind as AnalysisEvent['kind'],
      atS: entryElapsedS(entry, startUs, steps),
    }))
    .sort((a, b) => a.atS - b.atS)
}

/** Between spot readings the meter does not see the fluid: what it sends then is no reading of this batch. */
const readingsPart = (
  { potency }: InputParts,
  byHand: ReturnType<typeof spotReadings>,
  spot: boolean,
): Pick<AnalysisInput, 'timesS' | 'potencyMgPerL' | 'readingUPercent' | 'clipped'> => {
  if (byHand) return { timesS: byHand.timesS, potencyMgPerL: byHand.values, readingUPercent: byHand.uPercent }
  if (spot) return { timesS: new Float64Array(), potencyMgPerL: new Float64Array() }
  return {
    timesS: potency.timesS.view(),
    potencyMgPerL: potency.values.view(),
    clipped: Uint8Array.from(potency.clipped),
  }
}

/** Values typed in or taken once settled, one by one; the least certain speaks for all. */
const spotReadings = ({ batch, startUs }: InputParts) => {
  const taken = inTurn(spotValues(batch))
  if (taken.length === 0) return undefined
  return {
    timesS: Float64Array.from(taken.map((r) => (Date.parse(r.at) * 1000 - startUs) / 1e6)),
    values: Float64Array.from(taken.map((r) => r.valueMgL)),
    uPercent: Math.max(...taken.map((r) => r.uPercent ?? UNSTATED_U_PERCENT)),
    calibration: calibrationOf(taken),
  }
}

/** Two of one moment: the later entry stands. */
const inTurn = (values: readonly SpotValue[]): readonly SpotValue[] =>
  values.filter((v, i) => v.at !== values[i + 1]?.at)

/**
 * What errs the same way every time: of a kit its stated uncertainty, of the meter its calibration. Undefined when one of
 * them is not known: then there is nothing to hold a statement against.
 */
const calibrationOf = (values: readonly SpotValue[]): AnalysisInput['calibration'] => {
  const parts = values.map(({ by, uPercent, calibration, valueMgL }) =>
    by === 'kit'
      ? uPercent && uPercent / 100
      : calibration && calibration.uMgL / Math.max(0.1, Math.abs(valueMgL)),
  )
  const known = parts.flatMap((u) => (u === undefined ? [] : [u]))
  return known.length < parts.length ? undefined : { uRelative: Math.max(...known), uZeroMgPerL: 0 }
}

/**
 * A meter answers for itself through its calibration on file; values typed in, through the uncertainty of their method,
 * which errs the same way every time. With neither, or with readings in this batch that no calibration was in force for, there is nothing to hold a statement against: not calibrated.
 */
const calibrationPart = (
  { tally }: ChannelMemory,
  byHand: ReturnType<typeof spotReadings>,
): Pick<AnalysisInput, 'calibration'> => {
  if (byHand) return byHand.calibration ? { calibration: byHand.calibration } : {}
  const u = tally.uncertainty()
  return u === undefined ? {} : { calibration: { uRelative: u.uRelative, uZeroMgPerL: u.uZero } }
}

/** When a method's uncertainty was not stated: a field test kit read by eye, from memory. */
export const UNSTATED_U_PERCENT = 15

/**
 * What was measured stands before what was recorded. Undefined while gas or flow are neither: then there is nothing to
 * expect.
 */
export const expectationInput = (
  batch: Batch,
  temperatureC: number | undefined,
  measured: MeasuredConditions,
): ExpectationInput | undefined => {
  const { fluid, volume_ml: volumeMl } = batch.settings
  const recorded = recordedOf(batch)
  const gas =
    measured.gasUgPerNml === undefined
      ? recorded.gas
      : ({ ugPerMl: measured.gasUgPerNml, reference: 'normal-0c-101kpa' } as const)
  const flowMlPerMin = measured.flowMlPerMin ?? recorded.flowMlPerMin
  if (gas === undefined || flowMlPerMin === undefined || temperatureC === undefined) return undefined
  const { pressureKpa } = measured
  const isMeasured = Object.keys(measured).length > 0
  return {
    fluid,
    volumeMl,
    gas,
    flowMlPerMin,
    temperatureC,
    ...(pressureKpa === undefined ? {} : { pressureKpa }),
    ...(isMeasured ? { measured, recorded } : {}),
  }
}

const recordedOf = ({ settings: { gas, flow_ml_per_min: flowMlPerMin } }: Batch): Recorded => ({
  ...(gas ? { gas: { ugPerMl: gas.ug_per_ml, reference: gas.reference } } : {}),
  ...(flowMlPerMin === undefined ? {} : { flowMlPerMin }),
})

export const meanOf = (values: Float64Array): number | undefined => {
  let sum = 0
  let count = 0
  for (const value of values) {
    if (Number.isNaN(value)) continue
    sum += value
    count += 1
  }
  return count === 0 ? undefined : sum / count
}
