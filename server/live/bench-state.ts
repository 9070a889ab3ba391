import type { Reading, SeriesKey } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import { type Correcting, correctionOf } from '../calibration/correction.ts'
import { calibrationsOf, inForceAt, stepTestsOf } from '../calibration/in-force.ts'
import type { BenchConfig } from '../config.ts'
import { type Batch, fluidOf } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { Past } from '../report/clinic-history.ts'
import type { Curves, LiveBench } from '../wire.ts'
import { analysisInput, batchStartUs, expectationInput, fillStartS, meanOf } from './analysis-input.ts'
import { ChannelMemory, type Corrections, FROM_ZERO } from './bench-memory.ts'
import { benchView } from './bench-view.ts'
import { isBeforeOpening, namesAheadUs } from './clock-steps.ts'
import { curvesView } from './curves-view.ts'
import { CURVE_POINTS, type Estimator } from './estimator.ts'

/** Wall clock for people, steady clock for intervals, both in ms. */
export interface ServerClock {
  readonly nowMs: () => number
  readonly steadyMs: () => number
}

/** A step of the clock is recorded a moment after it happened. */
const CLOCKS_APART_MS = 3_600_000

/** Without a batch, the last minutes are enough for a number. */
const NO_BATCH_WINDOW_US = 300e6

export interface Known {
  readonly batch: Batch | undefined
  readonly calibrations: readonly Entry[]
  readonly clockSteps: readonly Entry[]
  readonly past: Past
  /** Asked anew each time: the clinic edits them while the program runs. */
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
}

/** One bench in memory: its present batch, its readings, and what was last worked out from them. */
export class BenchState {
  readonly bench: BenchConfig
  known: Known
  startUs: TimeUs = timeUs(0)
  potency = new ChannelMemory(0)
  temperature = new ChannelMemory(0)
  roomOzone = new ChannelMemory(0)
  estimate: LiveEstimate | undefined
  meter: SeriesInfo | undefined
  /** Newest reading already in memory: what `follow` brings again is passed over. */
  loadedSeq = 0
  recomputedMs = Number.NEGATIVE_INFINITY
  private readonly clock: ServerClock
  private readonly estimator: Estimator
  private readonly wiredSinceMs: number

  constructor(bench: BenchConfig, known: Known, clock: ServerClock, estimator: Estimator) {
    this.bench = bench
    this.known = known
    this.clock = clock
    this.estimator = estimator
    this.wiredSinceMs = clock.steadyMs()
  }

  /** Fills memory from the store: at start, and whenever the batch, its calibration or the wiring changed. */
  load(store: SqliteStore): void {
    const { batch } = this.known
    const nowMs = this.clock.nowMs()
    this.startUs = batch ? batchStartUs(batch) : timeUs(nowMs * 1000 - NO_BATCH_WINDOW_US)
    const wired = store.wiring().filter((s) => s.bench === this.bench.id && s.wired)
    const find = (channel: string) => wired.find((s) => s.channel === channel)
    this.meter = find('dissolved-ozone')
    this.loadedSeq = store.newestSeq()
    this.temperature = this.fill(store, find('fluid-temperature'))
    this.potency = this.fill(store, this.meter, this.temperature)
    this.roomOzone = this.fill(store, find('room-ozone'))
  }

  private fill(
    store: SqliteStore,
    series: SeriesInfo | undefined,
    thermometer?: ChannelMemory,
  ): ChannelMemory {
    if (!series) return new ChannelMemory(this.startUs)
    const memory = new ChannelMemory(this.startUs, this.correctionsOf(series, thermometer))
    const nowMs = this.clock.nowMs()
    const steady = this.clock.steadyMs()
    const { batch, clockSteps } = this.known
    const endUs = timeUs((nowMs + CLOCKS_APART_MS) * 1000 + namesAheadUs(clockSteps))
    const tooOld = batch ? isBeforeOpening(batch, clockSteps) : () => false
    for (const reading of store.rangeNow(series, this.startUs, endUs))
      if (!tooOld(reading))
        memory.add(
          reading,
          steady - Math.max(0, nowMs - (reading.timeUs - reading.movedUs) / 1000),
          FROM_ZERO,
        )
    return memory
  }

  private correctionsOf(series: SeriesInfo, thermometer: ChannelMemory | undefined): Corrections {
    const { batch, calibrations, clockSteps } = this.known
    const { instrument, channel } = series
    const own = calibrationsOf(calibrations, instrument, channel)
    const stepTests = stepTestsOf(calibrations, instrument, channel)
    return {
      correction: correctionOf(own, thermometer && batch && fluidOf(batch), stepTests),
      ...(thermometer ? { thermometer } : {}),
      countFromS: batch ? fillStartS(batch, this.startUs, clockSteps) : Number.NEGATIVE_INFINITY,
    }
  }

  /** By what the newest reading is corrected, or would be now while there is none. */
  private correcting(): Correcting {
    const newest = this.potency.newestGood ?? this.potency.newest
    if (newest) return newest.correcting
    if (!this.meter) return { kind: 'none', lag: undefined }
    return this.correctionsOf(this.meter, this.temperature).correction(this.clock.nowMs(), undefined)
  }

  /** Response time of the probe; null while neither calibration nor step test states it. */
  probeTauS(): number | null {
    return this.correcting().lag?.tauS ?? null
  }

  /** Of the calibration in force now; null without one or without a date. */
  calibrationDueAt(): string | null {
    if (!this.meter) return null
    const { instrument, channel } = this.meter
    const own = calibrationsOf(this.known.calibrations, instrument, channel)
    return inForceAt(own, this.clock.nowMs())?.data.due_at ?? null
  }

  take(reading: Reading): boolean {
    if (reading.seq <= this.loadedSeq) return false
    this.loadedSeq = reading.seq
    const memory = this.memoryOf(reading.series)
    memory?.add(reading, this.clock.steadyMs())
    return memory !== undefined
  }

  private memoryOf(series: SeriesKey): ChannelMemory | undefined {
    switch (series.channel) {
      case 'dissolved-ozone':
        return this.meter?.instrument === series.instrument ? this.potency : undefined
      case 'fluid-temperature':
        return this.temperature
      case 'room-ozone':
        return this.roomOzone
      default:
        return undefined
    }
  }

  recompute(): void {
    this.recomputedMs = this.clock.steadyMs()
    const { batch, past, clockSteps, rulesOfThumb } = this.known
    const hasReadings = this.potency.values.length > 0 || (batch?.handReadings.length ?? 0) > 0
    if (!batch || batch.discardedAt || !hasReadings) {
      this.estimate = undefined
      return
    }
    this.estimate = this.estimator(
      analysisInput({
        batch,
        startUs: this.startUs,
        potency: this.potency,
        temperature: this.temperature,
        fullScaleMgL: this.meter?.fullScale ?? null,
        ...past,
        rulesOfThumb: rulesOfThumb(),
        clockSteps,
        nowS: this.nowS(),
      }),
      CURVE_POINTS,
    )
  }

  /** Now on the batch's steady axis. */
  private nowS(): number {
    const newest = this.potency.newest
    if (!newest) return (this.clock.nowMs() * 1000 - this.startUs) / 1e6
    return newest.elapsedS + (this.clock.steadyMs() - newest.receivedMs) / 1000
  }

  /** A discarded batch is over: the bench is free, and shows its meter only. */
  private openBatch(): Batch | undefined {
    return this.known.batch?.discardedAt ? undefined : this.known.batch
  }

  view(): Omit<LiveBench, 'alarms' | 'next_step'> {
    const correcting = this.correcting()
    return benchView({
      bench: this.bench,
      batch: this.openBatch(),
      potency: this.potency,
      temperature: this.temperature,
      roomOzone: this.roomOzone,
      estimate: this.estimate,
      calibration: correcting.kind === 'calibrated' ? correcting.by : undefined,
      probeTauS: this.probeTauS(),
      fullScaleMgL: this.meter?.fullScale ?? null,
      intervalS: this.intervalS(),
      wired: this.meter !== undefined,
      steadyMs: this.clock.steadyMs(),
      nowMs: this.clock.nowMs(),
    })
  }

  curves(view: Pick<LiveBench, 'forecast'>): Curves {
    const batch = this.openBatch()
    return curvesView({
      bench: this.bench.id,
      batch,
      estimate: this.estimate,
      expectation: batch && expectationInput(batch, meanOf(this.temperature.values.view())),
      forecast: view.forecast,
      nowMs: this.clock.nowMs(),
    })
  }

  intervalS(): number {
    return this.meter?.intervalS ?? 1
  }

  /** Seconds without a reading from the wired meter; null when none is wired. */
  silentS(): number | null {
    if (!this.meter) return null
    // what came before this program listened does not count as its silence
    const heard = Math.max(this.potency.newest?.receivedMs ?? 0, this.wiredSinceMs)
    return (this.clock.steadyMs() - heard) / 1000
  }

  sdMgL(): number | null {
    return this.estimate?.analysis.phases.at(-1)?.residual_sd_mg_l ?? null
  }
}
