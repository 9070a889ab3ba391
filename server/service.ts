import { v7 as uuidv7 } from 'uuid'
import { createEventLog, type EventLog } from '../ingest/store/event-log.ts'
import type { KeptResults } from '../ingest/store/kept-results.ts'
import { SqliteStore } from '../ingest/store/sqlite-store.ts'
import type { ServerConfig } from './config.ts'
import { Ledger } from './ledger/ledger.ts'
import { reserveSpace } from './ledger/reserve.ts'
import { Engine, type Publish } from './live/engine.ts'
import type { Estimator } from './live/estimator.ts'
import { watchLogging } from './live/logging-seen.ts'
import type { ServerClock } from './live/server-clock.ts'
import { createSiteWatch } from './live/site-watch.ts'
import { type DeliverySetUp, type Elsewhere, openElsewhere } from './notify/elsewhere.ts'
import type { NotifierOptions } from './notify/notifier.ts'
import type { Caller } from './people/caller.ts'
import { type Gate, gateOf } from './people/gate.ts'
import { People } from './people/people.ts'
import { openPeopleFile } from './people/people-file.ts'
import type { Cost } from './people/secret.ts'
import { BatchReports } from './report/batch-report.ts'
import { pastOf } from './report/clinic-history.ts'
import { keptDocuments, openResults } from './report/kept-document.ts'
import { diskView } from './routes/store-view.ts'
import { openRulesFile, type RulesInForce } from './rules-file.ts'
import type { SetUpPlace } from './set-up/set-up.ts'
import { openKeptFacts } from './trial/kept-facts.ts'
import { TrialReports } from './trial/trial-reports.ts'

export interface ServiceFiles {
  readonly readings: string
  readonly ledger: string
}

/** Everything the routes and sockets work on, put together once. */
export interface Service {
  readonly config: ServerConfig
  readonly setUp: SetUpPlace
  readonly version: string
  readonly startedMs: number
  readonly clock: ServerClock
  readonly store: SqliteStore
  readonly events: EventLog
  readonly ledger: Ledger
  readonly reports: BatchReports
  readonly trials: TrialReports
  /** Results kept of batches whose raw readings may be removed; undefined where none ever are. */
  readonly results: KeptResults | undefined
  readonly engine: Engine
  /** Telling of alarms beyond the screens. */
  readonly elsewhere: Elsewhere
  readonly rules: () => RulesInForce
  readonly newId: () => string
  readonly people: People
  /** Who may ask what. */
  readonly gate: Gate
  /** A person, let in, sends something: they are still there. */
  readonly onActed: (caller: Caller) => void
  /** Cookies travel over TLS only. */
  readonly secureCookies: boolean
  close(): void
}

export interface ServiceParts {
  readonly config: ServerConfig
  /** Where a meter set up on screen goes; left out: this home. */
  readonly setUp?: SetUpPlace
  readonly version: string
  readonly files: ServiceFiles
  /** For past batches, one at a time. */
  readonly estimator: Estimator
  /** For a live bench. */
  readonly newEstimator: () => Estimator
  readonly clock: ServerClock
  readonly publish: Publish
  /** Left out: nobody is told elsewhere. */
  readonly delivery?: DeliverySetUp
  readonly log?: NotifierOptions['log']
  readonly onTrouble: (error: unknown) => void
  /** What hashing a password takes; left out: as shipped. */
  readonly secretCost?: Cost
}

export const openService = (parts: ServiceParts): Service => {
  const { config, clock, estimator } = parts
  const kind = config.simulated ? 'simulated' : 'real'
  const store = new SqliteStore({ path: parts.files.readings, kind, writes: false })
  const ledger = new Ledger(parts.files.ledger, kind)
  if (!reserveSpace(ledger.db))
    parts.onTrouble(new Error('the disk is full: no space is kept for the ledger'))
  const results = openResults(config)
  const rules = openRulesFile(config.home, clock.steadyMs)
  const rulesOfThumb = () => rules().rules
  const simulated = new Set(config.benches.filter((b) => b.simulated).map((b) => b.id))
  const reports = new BatchReports({
    store,
    ledger,
    programVersion: parts.version,
    estimator,
    nowMs: clock.nowMs,
    rulesOfThumb,
    ...(results ? { kept: keptDocuments(results, ledger, parts.onTrouble) } : {}),
    simulated: (bench) => config.simulated || simulated.has(bench),
  })
  const kept = openKeptFacts(config.home, kind, parts.onTrouble)
  const zone = config.zone
  const trials = new TrialReports({ ledger, reports, rulesOfThumb, zone, version: parts.version, kept })
  const newId = () => uuidv7()
  const events = createEventLog(store.db)
  const loggingSilentS = watchLogging(events, clock)
  const elsewhere = openElsewhere({
    setUp: parts.delivery ?? { kind: 'none' },
    config,
    ledger,
    clock,
    alarms: () => engine.alarms(),
    loggingSilentS,
    newId,
    log: parts.log ?? SILENT,
    onTrouble: parts.onTrouble,
  })
  const people = new People({
    db: openPeopleFile(config.home, kind),
    ledger,
    nowMs: clock.nowMs,
    steadyMs: clock.steadyMs,
    newId,
    cost: parts.secretCost,
  })
  const engine: Engine = new Engine({
    config,
    store,
    ledger,
    newEstimator: parts.newEstimator,
    clock,
    pastOf: (batch) => pastOf(batch, reports),
    rulesOfThumb,
    siteNow: createSiteWatch({
      config,
      store,
      ledger,
      nowMs: clock.nowMs,
      disk: () => diskView({ config, store }, clock.nowMs()).disk,
      delivery: () => elsewhere.seen(),
      loggingSilentS,
      onTrouble: parts.onTrouble,
    }),
    newId,
    publish: parts.publish,
    onTrouble: parts.onTrouble,
  })
  return {
    config,
    setUp: parts.setUp ?? { home: config.home, demo: false },
    version: parts.version,
    startedMs: clock.steadyMs(),
    clock,
    store,
    events,
    ledger,
    reports,
    trials,
    results,
    engine,
    elsewhere,
    rules,
    newId,
    people,
    gate: gateOf(people),
    onActed: (caller) => {
      if (caller.kind === 'person') people.sessions.touch(caller.session)
    },
    secureCookies: config.web.tls !== null || config.web.behindProxy,
    close: () => {
      engine.stop()
      trials.close()
      elsewhere.close()
      results?.close()
      people.close()
      ledger.close()
      store.db.close()
    },
  }
}

const SILENT: NotifierOptions['log'] = { info: () => {}, warn: () => {} }
