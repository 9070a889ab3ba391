import type { NoiseHistory } from '../analysis/input.ts'
import type { Correcting } from '../calibration/correction.ts'
import { smallestStep } from '../fit/outliers.ts'
import type { Batch } from '../ledger/batch.ts'
import type { EntryData } from '../ledger/entry.ts'
import type { ChannelMemory } from '../live/bench-memory.ts'
import { lowerBound } from '../phase/lower-bound.ts'
import { type Dipped, type Settled, type SpotState, spotState, windowS } from './settled.ts'

/** A bench's meter as the server holds it, for one spot reading. */
export interface SpotSource {
  readonly batch: Batch
  readonly memory: ChannelMemory
  readonly instrument: string
  readonly intervalS: number
  readonly noise: NoiseHistory | undefined
  /** What the meter's readings are corrected by now. */
  readonly correcting: Correcting
}

export interface SpotAsked {
  /** Wall clock, ms. */
  readonly fromMs: number
  readonly toMs: number
  readonly patience?: number
}

export type SpotTold =
  | Exclude<SpotState, Settled>
  | { readonly kind: 'probe-out' }
  | { readonly kind: 'settled'; readonly happenedAt: string; readonly data: EntryData<'spot-reading'> }

/** Has the probe settled, and if so, what goes into the record. Stores nothing. */
export const takeSpot = (source: SpotSource, asked: SpotAsked): SpotTold => {
  if (source.batch.probeOut.at(-1)?.to === null) return { kind: 'probe-out' }
  const fromMs = dippedMs(source, asked)
  const state = spotState(dippedSince(source, { ...asked, fromMs }))
  if (state.kind !== 'settled') return state
  return {
    kind: 'settled',
    happenedAt: new Date(fromMs + 1000 * state.atS).toISOString(),
    data: entryOf(state, source, { ...asked, fromMs }),
  }
}

const LONG_MS = 600_000

/** "Probe in" counts when it was entered for this reading: since the one before, and not long ago. Else the tap does. */
const dippedMs = ({ batch }: SpotSource, { fromMs }: SpotAsked): number => {
  const marked = Date.parse(batch.probeOut.at(-1)?.to ?? '')
  const before = Date.parse(batch.spotReadings.at(-1)?.data.to ?? '') || Number.NEGATIVE_INFINITY
  return marked > before && marked < fromMs && marked > fromMs - LONG_MS ? marked : fromMs
}

const dippedSince = (
  { memory, intervalS, noise, correcting }: SpotSource,
  { fromMs, toMs, patience }: SpotAsked,
): Dipped => {
  const times = memory.timesS.view()
  const values = memory.values.view()
  const newest = memory.newest
  // the axis of the readings is a steady one; the newest tells where the wall clock stands on it
  const axisS = (ms: number) => (newest ? newest.elapsedS + (ms - newest.timeUs / 1000) / 1000 : 0)
  const [first, end] = [lowerBound(times, axisS(fromMs)), lowerBound(times, axisS(toMs) + 1e-6)]
  const startS = axisS(fromMs)
  return {
    timesS: times.subarray(first, end).map((t) => t - startS),
    values: values.subarray(first, end),
    clipped: Uint8Array.from(memory.clipped.slice(first, end)),
    nowS: (toMs - fromMs) / 1000,
    intervalS,
    resolution: resolutionOf(values, newest?.raw ?? null),
    ...(correcting.lag ? { lag: correcting.lag } : {}),
    ...(noise
      ? {
          noise: {
            sd: noise.sdMgPerL,
            correlationTime: noise.correlationTimeS / 60,
            whitePart: noise.whiteFraction,
          },
        }
      : {}),
    ...(patience === undefined ? {} : { patience }),
  }
}

const MOST_DECIMALS = 4

/** The smallest change this meter was ever seen to make in the batch; where it never changed, its last digit. mg/L. */
const resolutionOf = (values: Float64Array, raw: number | null): number => {
  const seen = smallestStep(values, 1)
  if (Number.isFinite(seen)) return seen
  const decimals = String(raw ?? 0).split('.')[1]?.length ?? 0
  return decimals > MOST_DECIMALS ? 0 : 10 ** -decimals
}

const rounded = (mgPerL: number): number => Math.round(mgPerL * 1e4) / 1e4

const entryOf = (
  { value, u, uScatter, uResolution, uSettling, uResponse, window }: Settled,
  { instrument, correcting, intervalS }: SpotSource,
  { fromMs, toMs }: SpotAsked,
): EntryData<'spot-reading'> => ({
  from: new Date(fromMs).toISOString(),
  to: new Date(toMs).toISOString(),
  instrument,
  value_mg_l: rounded(value),
  as_sent_mg_l: rounded(asSent(value, correcting)),
  u_mg_l: rounded(u),
  u_scatter_mg_l: rounded(uScatter),
  u_resolution_mg_l: rounded(uResolution),
  u_settling_mg_l: rounded(uSettling),
  u_response_mg_l: rounded(uResponse),
  calibration:
    correcting.kind === 'calibrated'
      ? {
          at: correcting.by.at,
          method: correcting.by.data.method,
          u_mg_l: rounded(Math.hypot(correcting.uRelative * value, correcting.uZero)),
        }
      : null,
  readings: window.readings,
  effective_readings: Math.round(window.effective * 10) / 10,
  window_s: windowS(intervalS),
  waited_s: (toMs - fromMs) / 1000,
  tau_s: correcting.lag?.tauS ?? null,
})

const asSent = (value: number, how: Correcting): number =>
  how.kind === 'calibrated' ? (value / how.factor) * how.by.data.slope + how.by.data.zero : value
