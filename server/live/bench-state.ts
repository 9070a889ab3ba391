import type { Reading } from '../../ingest/reading/reading.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import type { RoomOzoneSeen } from '../alarm/room-ozone-seen.ts'
import type { LiveEstimate } from '../analysis/live-estimate.ts'
import type { Correcting } from '../calibration/correction.ts'
import { calibrationsOf, inForceAt } from '../calibration/in-force.ts'
import type { BenchConfig } from '../config.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { Past } from '../report/clinic-history.ts'
import { isSpotMode, spotValues } from '../spot/spot-mode.ts'
import type { SpotSource } from '../spot/take-spot.ts'
import type { Curves, LiveBench } from '../wire.ts'
import { analysisInput, batchStartUs, expectationInput, meanOf } from './analysis-input.ts'
import { BenchChannels } from './bench-channels.ts'
import type { ChannelMemory } from './bench-memory.ts'
import { benchView } from './bench-view.ts'
import { conditionsOf } from './companions.ts'
import { curvesView } from './curves-view.ts'
import { CURVE_POINTS, type Estimator } from './estimator.ts'
import type { ServerClock } from './server-clock.ts'

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
  estimate: LiveEstimate | undefined
  private channels: BenchChannels
  /** Newest reading already in memory: what `follow` brings again is passed over. */
  loadedSeq = 0
  recomputedMs = Number.NEGATIVE_INFINITY
  private readonly clock: ServerClock
  private readonly estimator: Estimator
  private readonly wiredSinceMs: number

  constructor(
    bench: BenchConfig,
    known: Known,
    { store, clock, estimator }: { store: SqliteStore; clock: ServerClock; estimator: Estimator },
  ) {
    this.bench = bench
    this.known = known
    this.clock = clock
    this.estimator = estimator
    this.wiredSinceMs = clock.steadyMs()
    this.channels = this.read(store)
  }

  /** Fills memory from the store again, whenever the batch, its calibration or the wiring changed. */
  load(store: SqliteStore): void {
    this.channels = this.read(store)
  }

  private read(store: SqliteStore): BenchChannels {
    const { batch, calibrations, clockSteps } = this.known
    const nowMs = this.clock.nowMs()
    this.startUs = batch ? batchStartUs(batch) : timeUs(nowMs * 1000 - NO_BATCH_WINDOW_US)
    this.loadedSeq = store.newestSeq()
    return new BenchChannels({
      store,
      bench: this.bench.id,
      batch,
      calibrations,
      clockSteps,
      startUs: this.startUs,
      nowMs,
      steadyMs: this.clock.steadyMs(),
    })
  }

  get potency(): ChannelMemory {
    return this.channels.potency
  }

  get meter(): SeriesInfo | undefined {
    return this.channels.meter
  }

  /** By what the newest reading is corrected, or would be now while there is none. */
  private correcting(): Correcting {
    const newest = this.potency.newestGood ?? this.potency.newest
    if (newest) return newest.correcting
    if (!this.meter) return { kind: 'none', lag: undefined }
    const { correction } = this.channels.correctionsOf(this.meter, this.channels.temperature)
    return correction(this.clock.nowMs(), undefined)
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
    return this.channels.take(reading, this.clock.steadyMs())
  }

  recompute(): void {
    this.recomputedMs = this.clock.steadyMs()
    const { batch, past, clockSteps, rulesOfThumb } = this.known
    const isSingle = batch !== undefined && spotValues(batch).length > 0
    const hasReadings = isSingle || (this.potency.values.length > 0 && !this.isSpot())
    if (!batch || batch.discardedAt || !hasReadings) {
      this.estimate = undefined
      return
    }
    this.estimate = this.estimator(
      analysisInput({
        batch,
        startUs: this.startUs,
        potency: this.potency,
        temperature: this.channels.temperature,
        companions: this.channels.companions,
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

  /** Between spot readings the meter is dry, and may be switched off. */
  private isSpot(): boolean {
    const batch = this.openBatch()
    return batch !== undefined && isSpotMode(batch)
  }

  /** The meter and the open batch, for a spot reading; undefined where one of them is not there. */
  spotSource(): SpotSource | undefined {
    const batch = this.openBatch()
    if (!batch || !this.meter) return undefined
    const { instrument } = this.meter
    return {
      batch,
      instrument,
      memory: this.potency,
      intervalS: this.intervalS(),
      noise: this.known.past.noise,
      correcting: this.correcting(),
    }
  }

  view(): Omit<LiveBench, 'alarms' | 'next_step'> {
    const correcting = this.correcting()
    return benchView({
      bench: this.bench,
      batch: this.openBatch(),
      potency: this.potency,
      temperature: this.channels.temperature,
      roomOzone: this.channels.roomOzone,
      companions: this.channels.companions,
      conditions: conditionsOf(this.channels.companions),
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
      expectation:
        batch &&
        expectationInput(
          batch,
          meanOf(this.channels.temperature.values.view()),
          conditionsOf(this.channels.companions),
        ),
      forecast: view.forecast,
      nowMs: this.clock.nowMs(),
    })
  }

  intervalS(): number {
    return this.meter?.intervalS ?? 1
  }

  /** Seconds without a reading from the wired meter; null when none is wired. */
  silentS(): number | null {
    if (!this.meter || this.isSpot()) return null
    // what came before this program listened does not count as its silence
    const heard = Math.max(this.potency.newest?.receivedMs ?? 0, this.wiredSinceMs)
    return (this.clock.steadyMs() - heard) / 1000
  }

  /** Ozone in the air of the room; null where no monitor is wired. */
  room(): RoomOzoneSeen | null {
    return this.channels.roomAir?.seen(this.clock) ?? null
  }

  /** When a person last entered anything of the open batch. */
  lastActAt(): string | null {
    const byPerson = this.openBatch()?.entries.findLast((entry) => entry.who.how !== 'program')
    return byPerson?.entered_at ?? null
  }

  sdMgL(): number | null {
    return this.estimate?.analysis.phases.at(-1)?.residual_sd_mg_l ?? null
  }
}
