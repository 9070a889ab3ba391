import { type Clock, clockStep, wallOffsetUs } from './clock.ts'
import type { IngestConfig } from './config.ts'
import type { PortConfig } from './config-port.ts'
import { messageOf } from './errors.ts'
import type { Log } from './log.ts'
import { startPortWorker } from './port-worker.ts'
import { createPortWorkers } from './port-workers.ts'
import type { NewReading } from './reading/reading.ts'
import { createStrictTime } from './reading/strict-time.ts'
import { canonicalUnit } from './reading/unit-conversion.ts'
import { createCommitQueue } from './store/commit-queue.ts'
import { createEventLog } from './store/event-log.ts'
import { startHousekeeping } from './store/housekeeping.ts'
import { describeConflict, SqliteStore } from './store/sqlite-store.ts'
import type { NewDaemonEvent, PortStatus, SeriesInfo } from './store/store.ts'
import { createTapHub, type TapHub } from './tap/hub.ts'
import type { TimeUs } from './units.ts'

export interface DaemonOptions {
  readonly config: IngestConfig
  readonly readingsPath: string
  readonly clock: Clock
  readonly log: Log
  /** Readings that arrived up to here may be removed once they are old enough; nothing given: any. */
  readonly removableUpTo?: () => number
  /** Nor are those of this moment and after; nothing given: any may be. */
  readonly removableBefore?: () => TimeUs
}

const STATUS_EVERY_MS = 1000
const DISCARDS_EVERY_MS = 5000
/** Readings held in memory while the disk refuses: about 27 h of 20 readings a second. */
const MOST_WAITING = 2_000_000
const TROUBLE_EVERY_MS = 5000

export interface Daemon {
  /** Ends it cleanly. */
  readonly stop: () => void
  /** Takes the ports of a changed wiring; those wired as before go on undisturbed. */
  readonly rewire: (config: IngestConfig) => void
  /** Says that a changed wiring cannot be used. */
  readonly refuse: (why: string) => void
  /** Where the ports at work can be listened to. */
  readonly hub: TapHub
  readonly status: () => PortStatus[]
}

/** The logging daemon: every port to the store. It alone writes readings. */
export const startDaemon = (options: DaemonOptions): Daemon => {
  const { config, clock, log } = options
  const { store, events } = openWired(options)
  const strict = createStrictTime((series) => store.newestTime(series))
  const pending: NewDaemonEvent[] = []
  let troubleAt = Number.NEGATIVE_INFINITY

  const own = (kind: NewDaemonEvent['kind'], detail: Record<string, unknown>) =>
    pending.push({ timeUs: clock.now(), monoMs: clock.monoMs(), kind, port: null, detail })

  const queue = createCommitQueue({
    bound: MOST_WAITING,
    append: (batch: readonly NewReading[]) => store.appendNow(batch),
    onCommitted: (result) => {
      if (result.conflicting.length === 0) return
      log.error(
        { first: result.conflicting[0] && describeConflict(result.conflicting[0]) },
        'another reading is already stored at that time',
      )
      own('store-trouble', { why: 'conflicting', count: result.conflicting.length })
    },
    onTrouble: (error, waiting) => {
      if (clock.monoMs() - troubleAt < TROUBLE_EVERY_MS) return
      troubleAt = clock.monoMs()
      log.error(
        { waiting, why: messageOf(error) },
        'readings cannot be stored; they wait in memory and are tried again',
      )
      own('store-trouble', { why: messageOf(error), waiting })
    },
    onOverflow: (lost) =>
      own('store-trouble', { why: 'memory bound reached: oldest waiting readings were given up', lost }),
  })

  const hub = createTapHub(clock)
  const workers = createPortWorkers((port) =>
    startPortWorker({
      config: port,
      clock,
      log,
      last: newestOfPort(store, port),
      onReadings: (readings) => queue.add(readings.map(strict)),
      onEvent: (event) => pending.push(event),
      tap: hub.of(port.name),
    }),
  )
  workers.apply(config.ports)

  const refuse = (why: string) => {
    log.error({ why }, 'the changed wiring is not used; what was in force stays so')
    own('wiring-refused', { why })
  }
  const status = () => workers.all().map((worker) => worker.status())
  const rewire = (next: IngestConfig) => {
    try {
      store.wire(seriesOf(next))
      events.forgetAllBut(next.ports.map((p) => p.name))
    } catch (error) {
      refuse(`it cannot be stored: ${messageOf(error)}; change the file again once it can`)
      return
    }
    const touched = workers.apply(next.ports)
    log.info({ ports: touched }, 'the wiring changed')
    own('rewired', { ports: touched })
    if (next.rest !== config.rest)
      refuse('site, benches, store or delivery changed: start the program again for that')
  }

  /** Events and port states go into one short transaction of their own; they wait while the disk refuses. */
  const writeEvents = () => {
    const batch = pending.slice(0, 1000)
    try {
      store.db
        .transaction(() => {
          for (const event of batch) events.record(event)
          for (const each of status()) events.report(each)
        })
        .immediate()
      pending.splice(0, batch.length)
    } catch (error) {
      if (clock.monoMs() - troubleAt > TROUBLE_EVERY_MS)
        log.error({ why: messageOf(error) }, 'events cannot be stored yet')
    }
  }

  let offset = wallOffsetUs(clock)
  const watchClock = () => {
    const now = wallOffsetUs(clock)
    const step = clockStep(offset, now)
    offset = now
    if (step === 0) return
    log.warn({ step_s: step / 1e6 }, 'the wall clock stepped; intervals are unharmed')
    own('clock-step', { step_us: step, boot_id: clock.bootId, mono_ms: clock.monoMs() })
  }

  own('started', { site: config.site, ports: config.ports.map((p) => p.name), boot_id: clock.bootId })
  const timers = [
    setInterval(() => queue.commit(), config.commitIntervalMs),
    setInterval(() => {
      watchClock()
      writeEvents()
    }, STATUS_EVERY_MS),
    setInterval(() => {
      for (const worker of workers.all()) worker.reportDiscards()
    }, DISCARDS_EVERY_MS),
  ]
  const endHousekeeping = startHousekeeping({
    rollUp: store.rollUp,
    retention: store.retention,
    clock,
    keepRawDays: config.keepRawDays,
    removableUpTo: options.removableUpTo ?? (() => Number.MAX_SAFE_INTEGER),
    removableBefore: options.removableBefore ?? (() => Number.MAX_SAFE_INTEGER as TimeUs),
    onTrouble: (error) => log.error({ why: messageOf(error) }, 'readings cannot be rolled up or removed yet'),
    onCatchingUp: (left) =>
      log.info({ left }, left === 0 ? 'all readings are rolled up' : 'rolling up readings of before'),
  })
  writeEvents()

  const stop = () => {
    endHousekeeping()
    for (const timer of timers) clearInterval(timer)
    workers.stop()
    own('stopped', {})
    queue.commit()
    writeEvents()
    store.db.close()
  }
  return { stop, rewire, refuse, hub, status }
}

/** The file with the present wiring in it; closed again when it will not take that. */
const openWired = ({ config, readingsPath }: DaemonOptions) => {
  const kind = config.simulated ? 'simulated' : 'real'
  const store = new SqliteStore({ path: readingsPath, kind, writes: true })
  try {
    store.wire(seriesOf(config))
    const events = createEventLog(store.db)
    events.forgetAllBut(config.ports.map((p) => p.name))
    return { store, events }
  } catch (error) {
    store.db.close()
    throw error
  }
}

const newestOfPort = (store: SqliteStore, port: PortConfig) =>
  port.instruments
    .flatMap(({ bench, instrument, channels }) =>
      channels.map(({ channel }) => store.newest({ bench, instrument, channel })),
    )
    .reduce((a, b) => (a && b ? (a.timeUs > b.timeUs ? a : b) : (a ?? b)), undefined)

/** Every series of the wiring. */
export const seriesOf = (config: IngestConfig): SeriesInfo[] =>
  config.ports.flatMap((port) => seriesOfPort(config.site, port))

const seriesOfPort = (site: string, port: PortConfig): SeriesInfo[] =>
  port.instruments.flatMap((i) =>
    i.channels.map((c) => ({
      site,
      bench: i.bench,
      instrument: i.instrument,
      channel: c.channel,
      unit: canonicalUnit(c.channel),
      port: port.name,
      fullScale: c.limits.fullScale ?? null,
      intervalS: i.intervalS,
      wired: true,
    })),
  )
