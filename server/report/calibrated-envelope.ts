import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { EnvelopePoint, SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { type Correcting, corrected, correctionOf } from '../calibration/correction.ts'
import { calibrationsOf } from '../calibration/in-force.ts'
import { type Batch, fluidOf } from '../ledger/batch.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { ReadingsAnswer } from '../wire.ts'

interface Wanted {
  readonly bench: string
  readonly channel: string
  readonly fromUs: TimeUs
  readonly toUs: TimeUs
  readonly points: number
}

interface Sources {
  readonly store: SqliteStore
  readonly ledger: Ledger
  readonly reports: { batches(): Iterable<Batch> }
}

/** Beyond this a range holds many batches of several fluids: drawn without the correction for the fluid. */
const LONGEST_OF_ONE_BATCH_US = 24 * 3600e6

/**
 * The envelope of a channel with each stretch corrected by the calibration in force then. A stretch ends where a
 * calibration begins, so no bucket mixes two; least and greatest stay exact.
 */
export const calibratedEnvelope = (
  wanted: Wanted,
  { store, ledger, reports }: Sources,
): Pick<ReadingsAnswer, 'unit' | 'calibrated' | 'points'> => {
  const { bench, channel, fromUs, toUs } = wanted
  const all = store.wiring().filter((s) => s.bench === bench && s.channel === channel)
  const series = all.find((s) => store.envelopeNow(s, fromUs, toUs, 1).length > 0) ?? all[0]
  if (!series) return { unit: '', calibrated: false, points: [] }
  const own = calibrationsOf(ledger.ofKind('calibration'), series.instrument, channel)
  const isOzone = channel === 'dissolved-ozone'
  const batch = isOzone && own.length > 0 ? batchWithin(wanted, reports) : undefined
  const correction = correctionOf(own, batch && fluidOf(batch))
  const celsius = batch ? temperatureAt(store, wanted) : () => undefined
  const shown: { point: EnvelopePoint; how: Correcting }[] = stretches(
    own.map((c) => Date.parse(c.at) * 1000),
    wanted,
  )
    .flatMap((s) => store.envelopeNow(series, s.fromUs, s.toUs, s.points))
    .map((point) => ({ point, how: correction(point.timeUs / 1000, celsius(point.timeUs)) }))
  return {
    unit: unitOf(series),
    calibrated: shown.length > 0 && shown.every(({ how }) => how.kind === 'calibrated'),
    points: shown.map(({ point, how }) => {
      const apply = (value: number | null) => (value === null ? null : corrected(value, how))
      return {
        time_us: point.timeUs,
        min: apply(point.min),
        max: apply(point.max),
        mean: apply(point.mean),
        count: point.count,
        not_good: point.notGood,
      }
    }),
  }
}

const unitOf = ({ unit }: SeriesInfo): string => unit

/** Cut where calibrations begin; each gets its share of the points, at least one. */
const stretches = (cuts: readonly number[], { fromUs, toUs, points }: Wanted) => {
  const edges = [fromUs, ...new Set(cuts.filter((c) => c > fromUs && c < toUs)), toUs]
  return edges.slice(1).map((end, i) => {
    const start = edges[i] ?? fromUs
    const share = Math.max(1, Math.round((points * (end - start)) / (toUs - fromUs)))
    return { fromUs: timeUs(start), toUs: timeUs(end), points: share }
  })
}

const batchWithin = ({ bench, fromUs, toUs }: Wanted, reports: Sources['reports']): Batch | undefined => {
  if (toUs - fromUs > LONGEST_OF_ONE_BATCH_US) return undefined
  for (const batch of reports.batches())
    if (batch.bench === bench && Date.parse(batch.openedAt) * 1000 < toUs) return batch
  return undefined
}

const temperatureAt = (store: SqliteStore, { bench, fromUs, toUs, points }: Wanted) => {
  const series = store.wiring().find((s) => s.bench === bench && s.channel === 'fluid-temperature' && s.wired)
  const known = series ? store.envelopeNow(series, fromUs, toUs, points) : []
  let next = 0
  /** Asked in order of time. */
  return (atUs: number): number | undefined => {
    while ((known[next + 1]?.timeUs ?? Number.POSITIVE_INFINITY) <= atUs) next += 1
    return known[next]?.mean ?? undefined
  }
}
