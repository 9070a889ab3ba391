import { backOffMs } from '../../ingest/forward/back-off.ts'
import type { ServerClock } from '../live/server-clock.ts'
import type { Delivery } from './delivery.ts'
import type { DeliveryFile } from './delivery-file.ts'
import type { Outcome } from './outcome.ts'

export interface LaneOptions {
  /** Receivers that are reached this way: all who get mail, or one webhook. */
  readonly receivers: readonly string[]
  readonly file: DeliveryFile
  readonly clock: ServerClock
  /** One try. */
  readonly send: (delivery: Delivery) => Promise<Outcome>
  /** False: it went another way meanwhile and needs no try. */
  readonly isStillNeeded: (delivery: Delivery) => boolean
  /** Shortens waiting, for tests. */
  readonly waitScale: number
  readonly log: { info(fields: object, text: string): void; warn(fields: object, text: string): void }
  readonly onTrouble: (error: unknown) => void
}

export interface LaneSeen {
  readonly receivers: readonly string[]
  readonly state: 'working' | 'waiting' | 'not-let-in'
  readonly why: string | null
  /** When it goes on, ms of the wall clock; null while nothing holds it up. */
  readonly nextMs: number | null
}

/** Somebody has to mend settings; and a mail account asked too often with a wrong password gets locked. */
const NOT_LET_IN_WAIT_MS = 300_000
/** A message put off by the mail server, as one does with senders it has not seen before: no need to ask at once. */
const LATER_FROM = 5
const GIVE_UP_AFTER_MS = 72 * 3_600_000

/** One way to receivers: messages go one after another, in order, with growing pauses while nothing goes. */
export class Lane {
  private readonly options: LaneOptions
  private failures = 0
  private state: LaneSeen['state'] = 'working'
  private why: string | null = null
  /** Steady time before which nothing is tried. */
  private notBeforeMs = Number.NEGATIVE_INFINITY
  private underWay: number | null = null
  private running: Promise<void> | null = null
  private ended = false

  constructor(options: LaneOptions) {
    this.options = options
  }

  isAtRest(): boolean {
    return this.running === null
  }

  isUnderWay(n: number): boolean {
    return this.underWay === n
  }

  /** Sends what is due, unless it is at it already or waits. */
  pump(): void {
    if (this.running !== null || this.ended || this.options.clock.steadyMs() < this.notBeforeMs) return
    if (this.next() === undefined) return
    this.running = this.run().finally(() => {
      this.running = null
      this.underWay = null
    })
  }

  seen(): LaneSeen {
    const { clock, receivers } = this.options
    const leftMs = this.notBeforeMs - clock.steadyMs()
    return {
      receivers,
      state: this.state,
      why: this.why,
      nextMs: this.state === 'working' ? null : clock.nowMs() + Math.max(0, leftMs),
    }
  }

  /** Begins nothing new; resolves when what is under way has its answer. */
  async end(): Promise<void> {
    this.ended = true
    await this.running
  }

  private async run(): Promise<void> {
    try {
      let goesOn = true
      while (goesOn && !this.ended) {
        const delivery = this.next()
        if (delivery === undefined) return
        this.underWay = delivery.n
        goesOn = this.settle(delivery, await this.options.send(delivery))
        this.underWay = null
      }
    } catch (error) {
      // the file cannot be written, as on a full disk: not at once again
      this.hold('waiting', 'what was sent cannot be written down', 0)
      this.options.onTrouble(error)
    }
  }

  private next(): Delivery | undefined {
    const { file, receivers, clock, isStillNeeded } = this.options
    return file.due(receivers, clock.nowMs()).find(isStillNeeded)
  }

  /** False: nothing goes this way now. */
  private settle(delivery: Delivery, outcome: Outcome): boolean {
    const { file, clock } = this.options
    const now = clock.nowMs()
    if (outcome.kind === 'delivered') {
      file.finished(delivery.n, 'delivered', now, outcome.words)
      this.release()
      return true
    }
    this.options.log.warn(
      { receiver: delivery.receiver, what: delivery.what, alarm: delivery.told.key, why: outcome.why },
      'a message was not delivered',
    )
    if (outcome.kind === 'refused') {
      file.finished(delivery.n, 'refused', now, outcome.why)
      this.release()
      return true
    }
    if (now - delivery.firstDueMs > GIVE_UP_AFTER_MS) {
      file.finished(delivery.n, 'gave-up', now, outcome.why)
      return true
    }
    return this.comesAgain(delivery, outcome, now)
  }

  private comesAgain(
    delivery: Delivery,
    outcome: Exclude<Outcome, { readonly kind: 'delivered' | 'refused' }>,
    now: number,
  ): boolean {
    const { file, waitScale } = this.options
    switch (outcome.kind) {
      case 'later': {
        const wait = waitScale * backOffMs(delivery.tries + LATER_FROM, 0, Math.random())
        file.tried(delivery.n, now, now + Math.ceil(wait), outcome.why)
        this.release()
        return true
      }
      case 'unreachable':
        file.tried(delivery.n, now, delivery.dueMs, outcome.why)
        this.hold('waiting', outcome.why, outcome.retryAfterMs)
        return false
      case 'not-let-in':
        file.tried(delivery.n, now, delivery.dueMs, outcome.why)
        this.hold('not-let-in', outcome.why, NOT_LET_IN_WAIT_MS)
        return false
      default:
        return outcome satisfies never
    }
  }

  private hold(state: 'waiting' | 'not-let-in', why: string, askedMs: number): void {
    const { clock, waitScale } = this.options
    this.failures += 1
    this.state = state
    this.why = why
    this.notBeforeMs = clock.steadyMs() + waitScale * backOffMs(this.failures, askedMs, Math.random())
  }

  private release(): void {
    if (this.failures > 0)
      this.options.log.info(
        { receivers: this.options.receivers, failures: this.failures },
        'messages go out again',
      )
    this.failures = 0
    this.state = 'working'
    this.why = null
  }
}
