import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import type { DeliverySettings, Receiver } from '../../ingest/config-delivery.ts'
import type { EntryData } from '../../server/ledger/entry.ts'
import type { Delivery } from '../../server/notify/delivery.ts'
import { DeliveryFile } from '../../server/notify/delivery-file.ts'
import type { MessageJson } from '../../server/notify/message.ts'
import { Notifier } from '../../server/notify/notifier.ts'
import { toldOf } from '../../server/notify/told-of.ts'
import { atMinute, BATCH, newEntry, OPENED, temporaryLedger } from './entries.ts'
import { type HandClock, handClock } from './hand-clock.ts'
import { type Answers, recordHttp } from './http-recorder.ts'
import { temporaryFolder } from './temporary-folder.ts'
import { until } from './until.ts'

export const SECRET = '0123456789abcdef'

export const webhookTo = (url: string, more: Partial<Receiver> = {}): Receiver => ({
  name: 'pager',
  to: { kind: 'webhook', url },
  priorities: ['high', 'medium'],
  afterMs: null,
  ...more,
})

export type AlarmData = EntryData<'alarm'>

const SILENT: AlarmData = {
  alarm: 'instrument-silent',
  from: 'normal',
  to: 'unacknowledged',
  priority: 'medium',
  text: 'No reading arrives from the meter at Bench A',
}

/**
 * Record, file of deliveries and a real receiver on loopback, with a clock the test moves. `begin` makes the notifier,
 * anew each time, as a restart does; `look` is one of its looks, when everything that was to go out has an answer.
 */
export const toldElsewhere = async (
  answer: Answers,
  settings: (url: string) => Partial<DeliverySettings> = () => ({}),
) => {
  const http = await recordHttp(answer)
  const clock: HandClock = handClock(atMinute(0))
  const { ledger } = temporaryLedger()
  const file = new DeliveryFile(join(temporaryFolder(), 'delivery.db'), 'real')
  onTestFinished(() => {
    ledger.close()
    file.close()
  })
  ledger.append(newEntry('batch-opened', 0, OPENED))
  const logged: object[] = []
  const troubles: unknown[] = []
  const given = { receivers: [webhookTo(http.url)], ...settings(http.url) }
  let notifier: Notifier | undefined

  const begin = async () => {
    await notifier?.stop()
    notifier = new Notifier({
      settings: {
        mail: null,
        returned: true,
        quietMs: 300_000,
        heartbeat: null,
        secretsFile: '',
        ...given,
      },
      secrets: {
        mailPassword: null,
        webhooks: Object.fromEntries(given.receivers.map(({ name }) => [name, SECRET])),
        heartbeat: null,
      },
      file,
      ledger,
      clock: clock.server,
      place: { site: 'Test clinic', zone: 'Europe/Lisbon' },
      toldOf: toldOf({
        config: {
          simulated: false,
          benches: [{ id: 'A', name: 'Bench A', simulated: false, control: null }],
        },
        ledger,
        alarms: () => [{ key: 'A:instrument-silent', what_to_do: 'Check the cable.' }] as never,
      }),
      isUrgent: (alarm) => alarm === 'room-ozone-ceiling',
      log: { info: () => {}, warn: (fields) => void logged.push(fields) },
      onTrouble: (error) => void troubles.push(error),
      waitScale: 1,
    })
    notifier.begin()
  }
  const now = () => notifier as Notifier
  onTestFinished(async () => {
    await notifier?.stop()
  })

  const look = async () => {
    now().look()
    await until('every try to have its answer', () => now().isAtRest())
  }
  /** The record of one change of state, at the clock's present. */
  const changes = (from: string, to: string, more: Partial<AlarmData> = {}, bench: string | null = 'A') =>
    ledger.append({
      ...newEntry('alarm', 0, { ...SILENT, from, to, ...more }),
      happened_at: new Date(clock.server.nowMs()).toISOString(),
      bench,
      batch: bench === null ? null : BATCH,
    }).entry

  return {
    http,
    clock,
    ledger,
    file,
    logged,
    troubles,
    begin,
    look,
    changes,
    notifier: now,
    raises: (more: Partial<AlarmData> = {}) => changes('normal', 'unacknowledged', more),
    returns: (from = 'unacknowledged') => changes(from, 'returned-unacknowledged'),
    /** Messages that came in. */
    got: (): MessageJson[] => http.requests.map(({ body }) => JSON.parse(body) as MessageJson),
    states: (): [Delivery['what'], Delivery['state'], number][] =>
      [...file.newest(1000)].reverse().map(({ what, state, tries }) => [what, state, tries]),
  }
}
