import type { DeliverySettings, Receiver } from '../../ingest/config-delivery.ts'
import type { DeliverySecrets } from '../../ingest/delivery-secrets.ts'
import type { EntryOf } from '../ledger/entry.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { ServerClock } from '../live/server-clock.ts'
import type { Delivery, Told } from './delivery.ts'
import type { DeliveryFile } from './delivery-file.ts'
import { type IntakeOptions, TOLD_TOGETHER, takeAlarm } from './intake.ts'
import { Lane, type LaneOptions, type LaneSeen } from './lane.ts'
import { messageOf, type Place } from './message.ts'
import type { Outcome } from './outcome.ts'
import { createSender } from './sender.ts'

export interface NotifierOptions {
  readonly settings: DeliverySettings
  readonly secrets: DeliverySecrets
  readonly file: DeliveryFile
  readonly ledger: Ledger
  readonly clock: ServerClock
  readonly place: Place
  readonly toldOf: (entry: EntryOf<'alarm'>) => Told
  readonly isUrgent: IntakeOptions['isUrgent']
  readonly log: LaneOptions['log']
  readonly onTrouble: (error: unknown) => void
  /** Shortens waiting, for tests. */
  readonly waitScale: number
}

const LOOK_EVERY_MS = 250
const LATE_AFTER_MS = 60_000
/** A clock put back by less is none that was set. */
const STEP_MS = 2000
const AT_ONCE = 500
const REST_MS = 5000

/**
 * Tells receivers elsewhere of every change of an alarm, from the record: what is to be told is written down before it is
 * sent, so that neither a restart nor an outage loses any of it.
 */
export class Notifier {
  private readonly lanes: readonly Lane[]
  private readonly options: NotifierOptions
  private readonly intake: IntakeOptions
  private seq = 0
  private aheadMs: number
  private restsUntilMs = Number.NEGATIVE_INFINITY
  private stops: (() => void)[] = []

  constructor(options: NotifierOptions) {
    this.options = options
    const { settings, clock } = options
    this.aheadMs = clock.nowMs() - clock.steadyMs()
    this.lanes = lanesOf(settings.receivers).map((receivers) => new Lane(this.laneOptions(receivers)))
    this.intake = {
      file: options.file,
      settings: scaled(settings, options.waitScale),
      toldOf: options.toldOf,
      isUrgent: options.isUrgent,
      isUnderWay: (n) => this.lanes.some((lane) => lane.isUnderWay(n)),
      nowMs: () => Math.floor(clock.nowMs()),
    }
  }

  start(): void {
    this.guarded(() => this.begin())
    const look = () => this.guarded(() => this.look())
    const timer = setInterval(look, LOOK_EVERY_MS)
    const unlisten = this.options.ledger.onAppended((entry) => {
      // not within the act that appended it
      if (entry.kind === 'alarm') setImmediate(look)
    })
    this.stops = [() => clearInterval(timer), unlisten]
  }

  /** A full disk stops neither the server nor this, and fills no log. */
  private guarded(work: () => void): void {
    const { clock, onTrouble } = this.options
    if (clock.steadyMs() < this.restsUntilMs) return
    try {
      work()
    } catch (error) {
      this.restsUntilMs = clock.steadyMs() + REST_MS
      onTrouble(error)
    }
  }

  /** Nothing is on its way at this moment. */
  isAtRest(): boolean {
    return this.lanes.every((lane) => lane.isAtRest())
  }

  seen(): LaneSeen[] {
    return this.lanes.map((lane) => lane.seen())
  }

  /** Takes what is new in the record and sends what is due. */
  look(): void {
    this.mindTheClock()
    this.takeIn()
    for (const lane of this.lanes) lane.pump()
  }

  async stop(): Promise<void> {
    for (const stop of this.stops) stop()
    this.stops = []
    await Promise.all(this.lanes.map((lane) => lane.end()))
  }

  /** At the very first start alarms that stand are told of; the history before is not. A record brought back from a back-up is not told again. */
  begin(): void {
    const { file, ledger, settings, clock } = this.options
    const known = file.position()
    const there = known && ledger.after(known.seq - 1, 1)[0]
    this.seq = known !== undefined && there?.id === known.entry ? known.seq : ledger.head().entries
    if (known === undefined) this.takeStanding()
    const names = new Set(settings.receivers.map(({ name }) => name))
    file.write(() => {
      for (const delivery of file.waiting())
        if (!names.has(delivery.receiver))
          file.dismiss(delivery.n, clock.nowMs(), 'this receiver is no longer set up')
    })
  }

  private takeStanding(): void {
    const { file, ledger } = this.options
    const newest = new Map<string, EntryOf<'alarm'>>()
    for (const entry of ledger.ofKind('alarm')) newest.set(`${entry.bench}/${entry.data.alarm}`, entry)
    const head = ledger.after(this.seq - 1, 1)[0]
    if (head === undefined) return
    file.advance(this.seq, head.id, () => {
      for (const entry of newest.values())
        if (entry.data.to === 'unacknowledged') takeAlarm(entry, this.intake)
    })
  }

  private takeIn(): void {
    const { file, ledger } = this.options
    for (;;) {
      const entries = ledger.after(this.seq, AT_ONCE)
      for (const entry of entries) {
        if (entry.kind === 'alarm') file.advance(entry.seq, entry.id, () => takeAlarm(entry, this.intake))
        this.seq = entry.seq
      }
      if (entries.length < AT_ONCE) return
    }
  }

  /** A wall clock set back must not put off by hours what was due in minutes. */
  private mindTheClock(): void {
    const { clock, file } = this.options
    const aheadMs = clock.nowMs() - clock.steadyMs()
    const stepMs = Math.round(aheadMs - this.aheadMs)
    this.aheadMs = aheadMs
    if (stepMs < -STEP_MS) file.shift(stepMs)
  }

  private laneOptions(receivers: readonly Receiver[]): LaneOptions {
    const { file, clock, log, onTrouble, waitScale, settings, secrets } = this.options
    const send = createSender(settings, secrets)
    const byName = new Map(receivers.map((receiver) => [receiver.name, receiver]))
    return {
      receivers: receivers.map(({ name }) => name),
      file,
      clock,
      waitScale,
      log,
      onTrouble,
      isStillNeeded: (delivery) => this.isStillNeeded(delivery),
      send: async (delivery) => {
        const receiver = byName.get(delivery.receiver)
        if (receiver === undefined) return NOBODY
        return send(receiver, this.messageOf(delivery), {
          id: delivery.id,
          inReplyTo: this.parentOf(delivery),
          nowMs: clock.nowMs(),
        })
      },
    }
  }

  private messageOf(delivery: Delivery) {
    const { file, clock, place, waitScale } = this.options
    return messageOf(delivery, {
      ...place,
      nowMs: clock.nowMs(),
      lateAfterMs: LATE_AFTER_MS * waitScale,
      wasTold: file.isDelivered(delivery.raise, delivery.receiver),
    })
  }

  /** The first message about the same alarm that this receiver has. */
  private parentOf({ raise, receiver, n }: Delivery): string | null {
    const first = this.options.file
      .ofRaise(raise)
      .find((d) => d.receiver === receiver && d.state === 'delivered' && d.n !== n)
    return first?.id ?? null
  }

  /** It was under way when the alarm ended: then its end says both, or nothing where ends are not told. */
  private isStillNeeded(delivery: Delivery): boolean {
    const { file, settings, clock } = this.options
    const words = whyNotNeeded(delivery, file, settings.returned)
    if (words !== null) file.write(() => file.dismiss(delivery.n, clock.nowMs(), words))
    return words === null
  }
}

const NOBODY: Outcome = { kind: 'refused', why: 'this receiver is no longer set up' }

const whyNotNeeded = (delivery: Delivery, file: DeliveryFile, tellsEnds: boolean): string | null => {
  if (delivery.what === 'returned')
    return !tellsEnds && file.isDelivered(delivery.raise, delivery.receiver)
      ? 'this receiver knows of the alarm; its end is not to be told'
      : null
  const hasEnded = file
    .ofRaise(delivery.raise)
    .some((d) => d.receiver === delivery.receiver && d.what === 'returned' && d.state === 'waiting')
  return hasEnded ? TOLD_TOGETHER : null
}

/** All mail goes by one server; each webhook is a way of its own. */
const lanesOf = (receivers: readonly Receiver[]): (readonly Receiver[])[] => {
  const byMail = receivers.filter(({ to }) => to.kind === 'mail')
  return [
    ...(byMail.length > 0 ? [byMail] : []),
    ...receivers.filter(({ to }) => to.kind === 'webhook').map((receiver) => [receiver]),
  ]
}

const scaled = (settings: DeliverySettings, scale: number): DeliverySettings => ({
  ...settings,
  quietMs: Math.round(settings.quietMs * scale),
  receivers: settings.receivers.map((receiver) => ({
    ...receiver,
    afterMs: receiver.afterMs === null ? null : Math.round(receiver.afterMs * scale),
  })),
})
