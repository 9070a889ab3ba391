import type { DeliverySettings } from '../../ingest/config-delivery.ts'
import type { DeliverySecrets } from '../../ingest/delivery-secrets.ts'
import { ruleNamed } from '../alarm/alarm-rules.ts'
import { LOGGING_GONE_S } from '../alarm/logging-stopped.ts'
import type { DeliverySeen } from '../alarm/site-alarm-view.ts'
import type { ServerConfig } from '../config.ts'
import { messageOf } from '../errors.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { ServerClock } from '../live/server-clock.ts'
import type { AlarmView } from '../wire.ts'
import { DeliveryFile, deliveryFile } from './delivery-file.ts'
import { REACHED, seenOf } from './delivery-seen.ts'
import { type HeartbeatSeen, startHeartbeat } from './heartbeat.ts'
import type { LaneSeen } from './lane.ts'
import { Notifier, type NotifierOptions } from './notifier.ts'
import { toldOf } from './told-of.ts'

/** What the wiring file says of telling others. A faulty section never keeps the screens from being there. */
export type DeliverySetUp =
  | { readonly kind: 'none' }
  | { readonly kind: 'fault'; readonly why: string }
  | {
      readonly kind: 'set'
      readonly settings: DeliverySettings
      readonly secrets: DeliverySecrets
      /** Shortens waiting, for tests. */
      readonly waitScale: number
    }

export interface ElsewhereOptions {
  readonly setUp: DeliverySetUp
  readonly config: Pick<ServerConfig, 'home' | 'site' | 'zone' | 'benches' | 'simulated'>
  readonly ledger: Ledger
  readonly clock: ServerClock
  readonly alarms: () => readonly AlarmView[]
  /** For how long the logging program has said nothing, s. */
  readonly loggingSilentS: () => number
  readonly newId: () => string
  readonly log: NotifierOptions['log']
  readonly onTrouble: (error: unknown) => void
}

/** Telling of alarms beyond the screens, as the rest of the server sees it. */
export interface Elsewhere {
  readonly setUp: DeliverySetUp
  readonly file: DeliveryFile | null
  start(): void
  /** For the alarm about delivery itself. */
  seen(): DeliverySeen | 'none'
  ways(): readonly LaneSeen[]
  heartbeat(): HeartbeatSeen | null
  /** Begins nothing new and waits a little for what is under way. */
  stop(): Promise<void>
  close(): void
}

const STOP_WAIT_MS = 3000

export const openElsewhere = (options: ElsewhereOptions): Elsewhere => {
  const { setUp } = options
  switch (setUp.kind) {
    case 'none':
      return { ...NOTHING, setUp, seen: () => 'none' }
    case 'fault':
      return withFault(setUp.why)
    case 'set':
      try {
        return atWork(setUp, options)
      } catch (error) {
        options.onTrouble(error)
        return withFault(messageOf(error))
      }
    default:
      return setUp satisfies never
  }
}

const withFault = (why: string): Elsewhere => ({
  ...NOTHING,
  setUp: { kind: 'fault', why },
  seen: () => ({ ...REACHED, fault: why }),
})

const NOTHING = {
  file: null,
  start: () => {},
  ways: () => [],
  heartbeat: () => null,
  stop: async () => {},
  close: () => {},
}

const atWork = (
  setUp: Extract<DeliverySetUp, { readonly kind: 'set' }>,
  options: ElsewhereOptions,
): Elsewhere => {
  const { config, ledger, clock, alarms, log, onTrouble } = options
  const { settings, secrets, waitScale } = setUp
  const file = new DeliveryFile(deliveryFile(config.home), config.simulated ? 'simulated' : 'real')
  const notifier = new Notifier({
    settings,
    secrets,
    file,
    ledger,
    clock,
    place: { site: config.site, zone: config.zone },
    toldOf: toldOf({ config, ledger, alarms }),
    isUrgent: (alarm) => ruleNamed(alarm)?.neverSilenced === true,
    log,
    onTrouble,
    waitScale,
  })
  let heart: ReturnType<typeof startHeartbeat> | null = null
  return {
    setUp,
    file,
    start: () => {
      notifier.start()
      heart = heartOf(setUp, options)
    },
    seen: () => seenOf(file, notifier.seen(), settings.receivers, clock.nowMs()),
    ways: () => notifier.seen(),
    heartbeat: () => heart?.seen() ?? null,
    stop: async () => {
      heart?.stop()
      let timer: NodeJS.Timeout | undefined
      const enough = new Promise<void>((resolve) => {
        timer = setTimeout(resolve, STOP_WAIT_MS)
      })
      await Promise.race([notifier.stop(), enough])
      clearTimeout(timer)
    },
    close: () => file.close(),
  }
}

const heartOf = (
  { settings, secrets, waitScale }: Extract<DeliverySetUp, { readonly kind: 'set' }>,
  { config, ledger, clock, alarms, loggingSilentS, newId, onTrouble }: ElsewhereOptions,
): ReturnType<typeof startHeartbeat> | null => {
  if (settings.heartbeat === null) return null
  const { url, everyMs } = settings.heartbeat
  return startHeartbeat({
    url,
    secret: secrets.heartbeat ?? '',
    everyMs: everyMs * waitScale,
    nowMs: clock.nowMs,
    newId,
    onTrouble,
    body: () => ({
      schema: 'spargewatch.heartbeat/1',
      site: config.site,
      simulated: config.simulated,
      at: new Date(clock.nowMs()).toISOString(),
      logging: loggingSilentS() < LOGGING_GONE_S,
      alarms_not_acknowledged: alarms().filter(({ state }) => state === 'unacknowledged').length,
      ledger: ledger.head(),
    }),
  })
}
