import type { Reading } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { AnalysisInput } from '../analysis/input.ts'
import { correctionOf } from '../calibration/correction.ts'
import { calibrationsOf, stepTestsOf } from '../calibration/in-force.ts'
import type { CalibrationTally } from '../calibration/tally.ts'
import { type Batch, fluidOf } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import { analysisInput, batchStartUs, entryElapsedS, fillStartS, meanOf } from '../live/analysis-input.ts'
import { ChannelMemory } from '../live/bench-memory.ts'
import { isBeforeOpening, namesAheadUs, stepsWithin } from '../live/clock-steps.ts'
import {
  COMPANION_CHANNELS,
  type CompanionChannel,
  type Companions,
  conditionsOf,
} from '../live/companions.ts'
import type { MeasuredConditions } from '../model/measured-conditions.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { AsOf, LedgerView } from './as-of.ts'
import type { Past } from './clinic-history.ts'
import { removedBefore } from './removed-readings.ts'

/** After flow-off an undiscarded batch is read for this long at most. */
const LONGEST_BATCH_S = 24 * 3600

/** A batch with everything its numbers are worked out from. */
export interface BatchInput {
  readonly input: AnalysisInput
  /** Which calibrations its readings were corrected by. */
  readonly tally: CalibrationTally
  readonly meanTemperatureC: number | undefined
  readonly conditions: MeasuredConditions
  readonly meter: SeriesInfo | undefined
  /** Its raw readings before this may be gone; undefined: all are there. */
  readonly removedBefore: TimeUs | undefined
}

interface Parts {
  readonly store: SqliteStore
  readonly ledger: LedgerView
  readonly asOf: AsOf
  readonly rulesOfThumb: readonly RuleOfThumb[]
  readonly past: Past
}

/** Reads a batch back from the files, up to its discard or, while it is open, up to `asOf`. */
export const readBatchInput = (batch: Batch, parts: Parts): BatchInput => {
  const { store, ledger, asOf } = parts
  const startUs = batchStartUs(batch)
  const clockSteps = ledger.ofKind('from-daemon').filter((e) => e.data.kind === 'clock-step')
  const end = batch.entries.findLast((e) => e.kind === 'discarded' && !batch.undone.has(e.id)) ?? {
    happened_at: new Date(asOf.atMs).toISOString(),
    seq: Number.MAX_SAFE_INTEGER,
  }
  const endS = Math.min(LONGEST_BATCH_S, entryElapsedS(end, startUs, stepsWithin(batch, clockSteps)))
  const endUs = timeUs(
    Math.min(startUs + LONGEST_BATCH_S * 1e6, Date.parse(end.happened_at) * 1000) + namesAheadUs(clockSteps),
  )
  const tooOld = isBeforeOpening(batch, clockSteps)
  const span: Span = {
    fromUs: startUs,
    toUs: endUs,
    endS,
    counts: (reading) => reading.seq <= asOf.readingsSeq && !tooOld(reading),
    calibrations: [...ledger.ofKind('calibration'), ...ledger.ofKind('step-test')],
    countFromS: fillStartS(batch, startUs, clockSteps),
  }
  const series = store.wiring().filter((s) => s.bench === batch.bench)
  const find = (channel: string) => seriesWithReadings(store, series, channel, span)
  const thermometer = find('fluid-temperature')
  const temperature = readSeries(store, thermometer, span)
  const meter = find('dissolved-ozone')
  const potency = readSeries(store, meter, span, { fluid: fluidOf(batch), thermometer: temperature })
  const companions = readCompanions(store, series, span)
  return {
    input: analysisInput({
      batch,
      startUs,
      potency,
      temperature,
      companions,
      fullScaleMgL: meter?.fullScale ?? null,
      ...parts.past,
      rulesOfThumb: parts.rulesOfThumb,
      clockSteps,
      nowS: endS,
    }),
    tally: potency.tally,
    meanTemperatureC: meanOf(temperature.values.view()),
    conditions: conditionsOf(companions),
    meter,
    removedBefore: removedBefore(store, [meter, thermometer], startUs),
  }
}

const readCompanions = (store: SqliteStore, own: readonly SeriesInfo[], span: Span): Companions =>
  new Map(
    COMPANION_CHANNELS.flatMap((channel): [CompanionChannel, ChannelMemory][] => {
      const found =
        seriesWithReadings(store, own, channel, span) ??
        (channel === 'barometric-pressure'
          ? seriesWithReadings(store, store.wiring(), channel, span)
          : undefined)
      return found ? [[channel, readSeries(store, found, span)]] : []
    }),
  )

interface Span {
  readonly fromUs: TimeUs
  readonly toUs: TimeUs
  readonly endS: number
  readonly counts: (reading: Reading) => boolean
  readonly calibrations: readonly Entry[]
  readonly countFromS: number
}

const seriesWithReadings = (
  store: SqliteStore,
  series: readonly SeriesInfo[],
  channel: string,
  { fromUs, toUs }: Span,
): SeriesInfo | undefined =>
  series.find((s) => s.channel === channel && store.envelopeNow(s, fromUs, toUs, 1).length > 0)

const readSeries = (
  store: SqliteStore,
  series: SeriesInfo | undefined,
  span: Span,
  ozone?: { readonly fluid: ReturnType<typeof fluidOf>; readonly thermometer: ChannelMemory },
): ChannelMemory => {
  const { fromUs, toUs, endS, counts, calibrations, countFromS } = span
  if (!series) return new ChannelMemory(fromUs)
  const own = calibrationsOf(calibrations, series.instrument, series.channel)
  const memory = new ChannelMemory(fromUs, {
    correction: correctionOf(own, ozone?.fluid, stepTestsOf(calibrations, series.instrument, series.channel)),
    ...(ozone ? { thermometer: ozone.thermometer } : {}),
    countFromS,
  })
  for (const reading of store.rangeNow(series, fromUs, toUs))
    if (counts(reading)) memory.add(reading, 0, { fromS: 0, toS: endS })
  return memory
}
