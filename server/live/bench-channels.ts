import type { Channel, Reading, SeriesKey } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { correctionOf } from '../calibration/correction.ts'
import { calibrationsOf, stepTestsOf } from '../calibration/in-force.ts'
import { type Batch, fluidOf } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import { fillStartS } from './analysis-input.ts'
import { ChannelMemory, type Corrections, FROM_ZERO, KEPT_BETWEEN_BATCHES_S } from './bench-memory.ts'
import { isBeforeOpening, namesAheadUs } from './clock-steps.ts'
import { COMPANION_CHANNELS, type CompanionChannel, type Companions, isCompanion } from './companions.ts'
import { RoomAir } from './room-air.ts'

/** A step of the clock is recorded a moment after it happened. */
const CLOCKS_APART_MS = 3_600_000

export interface Loading {
  readonly store: SqliteStore
  readonly bench: string
  readonly batch: Batch | undefined
  readonly calibrations: readonly Entry[]
  readonly clockSteps: readonly Entry[]
  readonly startUs: TimeUs
  readonly nowMs: number
  readonly steadyMs: number
}

/** What a bench's instruments have measured since a moment, channel by channel. */
export class BenchChannels {
  readonly meter: SeriesInfo | undefined
  readonly potency: ChannelMemory
  readonly temperature: ChannelMemory
  readonly roomOzone: ChannelMemory
  readonly companions: Companions
  /** Undefined where no monitor of the room's air is wired. */
  readonly roomAir: RoomAir | undefined
  /** The one barometer of the house may hang at another bench. */
  readonly barometer: SeriesInfo | undefined
  private readonly loading: Pick<Loading, 'batch' | 'calibrations' | 'clockSteps' | 'startUs'>

  constructor(loading: Loading) {
    const { store, bench, startUs } = loading
    this.loading = loading
    const wired = store.wiring().filter((s) => s.wired)
    const own = (channel: Channel) => wired.find((s) => s.bench === bench && s.channel === channel)
    this.meter = own('dissolved-ozone')
    this.barometer = own('barometric-pressure') ?? wired.find((s) => s.channel === 'barometric-pressure')
    const fill = (series: SeriesInfo | undefined, thermometer?: ChannelMemory) =>
      series ? this.fill(loading, series, thermometer) : new ChannelMemory(startUs)
    this.temperature = fill(own('fluid-temperature'))
    this.potency = fill(this.meter, this.temperature)
    const monitor = own('room-ozone')
    this.roomOzone = fill(monitor)
    this.roomAir = monitor && new RoomAir(store, monitor, this.roomOzone)
    this.companions = new Map(
      COMPANION_CHANNELS.flatMap((channel): [CompanionChannel, ChannelMemory][] => {
        const series = channel === 'barometric-pressure' ? this.barometer : own(channel)
        return series ? [[channel, fill(series)]] : []
      }),
    )
  }

  private fill(
    { store, nowMs, steadyMs, batch, clockSteps, startUs }: Loading,
    series: SeriesInfo,
    thermometer?: ChannelMemory,
  ): ChannelMemory {
    const isOpen = batch?.discardedAt === null
    const keptS = isOpen ? Number.POSITIVE_INFINITY : KEPT_BETWEEN_BATCHES_S
    const memory = new ChannelMemory(startUs, this.correctionsOf(series, thermometer), keptS)
    const endUs = timeUs((nowMs + CLOCKS_APART_MS) * 1000 + namesAheadUs(clockSteps))
    const tooOld = batch ? isBeforeOpening(batch, clockSteps) : () => false
    for (const reading of store.rangeNow(series, startUs, endUs))
      if (!tooOld(reading))
        memory.add(
          reading,
          steadyMs - Math.max(0, nowMs - (reading.timeUs - reading.movedUs) / 1000),
          FROM_ZERO,
        )
    return memory
  }

  /** How readings of a series are corrected; those of dissolved ozone by fluid and temperature too. */
  correctionsOf(series: SeriesInfo, thermometer: ChannelMemory | undefined): Corrections {
    const { batch, calibrations, clockSteps, startUs } = this.loading
    const { instrument, channel } = series
    const own = calibrationsOf(calibrations, instrument, channel)
    const stepTests = stepTestsOf(calibrations, instrument, channel)
    return {
      correction: correctionOf(own, thermometer && batch && fluidOf(batch), stepTests),
      ...(thermometer ? { thermometer } : {}),
      countFromS: batch ? fillStartS(batch, startUs, clockSteps) : Number.NEGATIVE_INFINITY,
    }
  }

  /** Whether the reading belongs to one of the channels. */
  take(reading: Reading, receivedMs: number): boolean {
    const memory = this.memoryOf(reading.series)
    memory?.add(reading, receivedMs)
    return memory !== undefined
  }

  private memoryOf({ bench, channel, instrument }: SeriesKey): ChannelMemory | undefined {
    if (channel === 'barometric-pressure')
      return this.barometer?.bench === bench && this.barometer.instrument === instrument
        ? this.companions.get(channel)
        : undefined
    if (channel === 'dissolved-ozone') return this.meter?.instrument === instrument ? this.potency : undefined
    if (channel === 'fluid-temperature') return this.temperature
    if (channel === 'room-ozone') return this.roomOzone
    return isCompanion(channel) ? this.companions.get(channel) : undefined
  }
}
