import type { Reading } from '../../ingest/reading/reading.ts'
import { createEventLog } from '../../ingest/store/event-log.ts'
import { follow } from '../../ingest/store/follow.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { Handled } from '../alarm/alarm-board.ts'
import type { SiteAlarmView } from '../alarm/site-alarm-view.ts'
import type { ServerConfig } from '../config.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Entry } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import { isAboutPeople, isAboutTheRecord } from '../ledger/people-entry.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { Past } from '../report/clinic-history.ts'
import { type SpotAsked, type SpotTold, takeSpot } from '../spot/take-spot.ts'
import type { AlarmView, Curves, LiveBench, LiveReadings } from '../wire.ts'
import { BenchState } from './bench-state.ts'
import type { Estimator } from './estimator.ts'
import { KeptAlarms } from './kept-alarms.ts'
import { knownOf } from './known-of.ts'
import { nextStep } from './next-step.ts'
import { recordDaemonEvents } from './record-daemon-events.ts'
import type { ServerClock } from './server-clock.ts'
import { type ValueAtDraw, valueAt } from './value-at.ts'

export interface EngineOptions {
  readonly config: ServerConfig
  readonly store: SqliteStore
  readonly ledger: Ledger
  /** Each bench gets one of its own: it may remember what is finished. */
  readonly newEstimator: () => Estimator
  readonly clock: ServerClock
  readonly pastOf: (batch: Batch) => Past
  readonly rulesOfThumb: () => readonly RuleOfThumb[]
  /** What alarms of the whole site look at. */
  readonly siteNow: () => SiteAlarmView
  readonly newId: () => string
  readonly publish: Publish
  readonly onTrouble: (error: unknown) => void
}

export interface Publish {
  live(bench: LiveBench): void
  curves(curves: Curves): void
  readings(readings: LiveReadings): void
  alarms(alarms: AlarmView[]): void
  entries(entry: Entry): void
}

/** A bench is worked out anew at most this often; its number is never older than this plus the reading's own interval. */
const LEAST_BETWEEN_MS = 400
const LOOK_EVERY_MS = 500
const RECOMPUTE_AT_LEAST_MS = 5000
const EVENTS_EVERY_MS = 1000
const SITE_EVERY_MS = 5000

/** Keeps every bench up to date: readings and entries in, views, alarms and curves out. */
export class Engine {
  private readonly benches = new Map<string, BenchState>()
  private readonly computedAt = new Map<string, number>()
  private readonly due = new Set<string>()
  private readonly latest = new Map<string, LiveBench>()
  private readonly kept: KeptAlarms
  private readonly options: EngineOptions
  private readonly timeOf: (iso: string) => string
  private stops: (() => void)[] = []

  constructor(options: EngineOptions) {
    this.options = options
    const { ledger, clock, newId, siteNow, publish } = options
    this.kept = new KeptAlarms({ ledger, clock, newId, siteNow, publish: publish.alarms })
    const zoned = new Intl.DateTimeFormat('en-GB', {
      timeZone: options.config.zone,
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
    })
    this.timeOf = (iso) => zoned.format(new Date(iso))
    for (const bench of options.config.benches) {
      const parts = { store: options.store, clock: options.clock, estimator: options.newEstimator() }
      this.benches.set(bench.id, new BenchState(bench, knownOf(bench.id, options), parts))
    }
  }

  start(): void {
    const { store, ledger, onTrouble } = this.options
    const guarded = (work: () => void) => () => {
      try {
        work()
      } catch (error) {
        onTrouble(error)
      }
    }
    const every = (ms: number, work: () => void) => {
      const timer = setInterval(guarded(work), ms)
      return () => clearInterval(timer)
    }
    const lookAtSite = () => this.kept.lookAtSite()
    const afterSeq = Math.min(...[...this.benches.values()].map((b) => b.loadedSeq), store.newestSeq())
    this.stops = [
      every(LOOK_EVERY_MS, () => this.lookAtAll()),
      every(EVENTS_EVERY_MS, () => this.readDaemonEvents()),
      every(SITE_EVERY_MS, lookAtSite),
      follow(store, { afterSeq, onReadings: (readings) => this.take(readings), onTrouble }),
      ledger.onAppended((entry) => this.onEntry(entry)),
    ]
    this.lookAtAll()
    guarded(lookAtSite)()
  }

  stop(): void {
    for (const stop of this.stops) stop()
  }

  all(): LiveBench[] {
    return [...this.benches.keys()]
      .map((id) => this.latest.get(id) ?? this.work(id))
      .filter((b) => b !== undefined)
  }

  bench(id: string): { live: LiveBench; curves: Curves } | undefined {
    const state = this.benches.get(id)
    const live = state && (this.latest.get(id) ?? this.work(id))
    return state && live && { live, curves: state.curves(live) }
  }

  alarms(): AlarmView[] {
    return this.kept.all()
  }

  /** The value in the flask at a moment of the recent past, for the record of a draw-up. */
  valueAt(bench: string, atMs: number): ValueAtDraw | null {
    const state = this.benches.get(bench)
    const live = state && (this.latest.get(bench) ?? this.work(bench))
    return state && live ? valueAt(state, live, atMs) : null
  }

  /** How far a dipped probe is; undefined where no batch is open or no meter is wired. */
  spot(bench: string, asked: SpotAsked): SpotTold | undefined {
    const source = this.benches.get(bench)?.spotSource()
    return source && takeSpot(source, asked)
  }

  /** What a person does with an alarm; undefined when there is none of that key. */
  handleAlarm(key: string, handled: Handled): AlarmView | undefined {
    return this.kept.handle(key, handled, (bench) => this.work(bench))
  }

  private take(readings: readonly Reading[]): void {
    const news = new Map<string, LiveReadings>()
    for (const reading of readings) {
      const own = this.benches.get(reading.series.bench)
      for (const state of isOfTheHouse(reading) ? this.benches.values() : own ? [own] : []) {
        if (!state.take(reading)) continue
        this.due.add(state.bench.id)
        if (state === own) this.collect(news, reading, state)
      }
    }
    for (const message of news.values()) this.options.publish.readings(message)
    this.workDue()
  }

  private collect(news: Map<string, LiveReadings>, reading: Reading, state: BenchState): void {
    const { bench, channel } = reading.series
    const key = `${bench}/${channel}`
    const message = news.get(key) ?? { bench, channel, readings: [] }
    const shown = channel === 'dissolved-ozone' ? state.potency.newest?.value : reading.value
    message.readings.push([reading.timeUs, shown ?? null, reading.quality])
    news.set(key, message)
  }

  /** Works out the benches that have news and were not worked out just now; the others at the next look. */
  private workDue(): void {
    const now = this.options.clock.steadyMs()
    for (const id of [...this.due])
      if (now - (this.computedAt.get(id) ?? Number.NEGATIVE_INFINITY) >= LEAST_BETWEEN_MS) this.work(id)
  }

  private lookAtAll(): void {
    const now = this.options.clock.steadyMs()
    for (const id of this.benches.keys())
      if (this.due.has(id) || now - (this.computedAt.get(id) ?? Number.NEGATIVE_INFINITY) >= 1000)
        this.work(id)
  }

  private work(id: string): LiveBench | undefined {
    const state = this.benches.get(id)
    if (!state) return undefined
    const hadNews = this.due.delete(id)
    this.computedAt.set(id, this.options.clock.steadyMs())
    // without news an estimate for now still moves on, at a slower pace
    const isOld = this.options.clock.steadyMs() - state.recomputedMs > RECOMPUTE_AT_LEAST_MS
    if (hadNews || isOld) state.recompute()
    const view = state.view()
    const { alarms, settle } = this.kept.lookAtBench({
      live: view,
      sdMgL: state.sdMgL(),
      probeTauS: state.probeTauS(),
      silentS: state.silentS(),
      intervalS: state.intervalS(),
      calibrationDueAt: state.calibrationDueAt(),
      room: state.room(),
      lastActAt: state.lastActAt(),
    })
    const live: LiveBench = {
      ...view,
      alarms,
      next_step: nextStep(view, { time: this.timeOf }, alarms),
    }
    this.latest.set(id, live)
    this.options.publish.live(live)
    if (hadNews) this.options.publish.curves(state.curves(live))
    settle()
    return live
  }

  private onEntry(entry: Entry): void {
    this.options.publish.entries(entry)
    // changes nothing that a bench shows of itself
    if (entry.kind === 'alarm' || isAboutPeople(entry.kind) || isAboutTheRecord(entry.kind)) return
    if (entry.kind === 'alarm-setting') this.kept.readSettings()
    const ids =
      entry.kind === 'calibration' || entry.bench === null ? [...this.benches.keys()] : [entry.bench]
    for (const id of ids) this.reload(id)
  }

  private reload(id: string): void {
    const state = this.benches.get(id)
    if (!state) return
    state.known = knownOf(id, this.options)
    state.load(this.options.store)
    this.due.add(id)
    this.work(id)
  }

  private readDaemonEvents(): void {
    const { ledger, store, newId, clock } = this.options
    const wiringChanged = recordDaemonEvents(
      ledger,
      createEventLog(store.db),
      (bench) => this.benches.get(bench)?.known.batch,
      newId,
      clock.nowMs(),
    )
    if (!wiringChanged) return
    for (const state of this.benches.values()) state.load(store)
  }
}

/** The air pressure of the house is that of every bench. */
const isOfTheHouse = (reading: Reading): boolean => reading.series.channel === 'barometric-pressure'
