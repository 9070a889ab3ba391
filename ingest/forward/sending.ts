import type { Log } from '../log.ts'
import type { ForwardStatus } from '../store/outbox.ts'
import { backOffMs } from './back-off.ts'
import type { Broken } from './deliver.ts'

export type SendOutcome =
  | { readonly kind: 'done'; readonly refused: number; readonly words: string | null }
  | { readonly kind: 'broken-off'; readonly outcome: Broken }

export interface SendingOptions<Item> {
  /** For the log: `readings`, `entries of the record`. */
  readonly what: string
  readonly atOnce: number
  /** Called once, before anything is sent. */
  readonly begin: () => void
  /** What waits, in order, at most `atOnce`. */
  readonly next: () => readonly Item[]
  /** Resolves as done only when the batch is acknowledged and noted as sent. */
  readonly send: (batch: readonly Item[]) => Promise<SendOutcome>
  /** Writes down what it is doing, for the screens. */
  readonly report: (state: ForwardStatus['state'], why: string | null) => void
  readonly log: Pick<Log, 'info' | 'warn' | 'error'>
  /** Waits, and returns at once when `signal` says so. Tests shorten it. */
  readonly wait: (ms: number, signal: AbortSignal) => Promise<void>
}

export interface Sending {
  /** Ends when `signal` does, after the answer to what is under way. */
  run(signal: AbortSignal): Promise<void>
  report(): void
}

/** How soon what is new is looked for. */
const LOOK_EVERY_MS = 250
/** A place that is back has what it missed within moments, and being refused four times a minute is no load to anybody. */
const LONGEST_WAIT_MS = 15_000
/** Somebody has to mend the settings: no need to ask every second. */
const NOT_LET_IN_WAIT_MS = 30_000

/**
 * Sends batch after batch to a place that may be away for hours: what is not acknowledged comes again, after a
 * pause that grows. Holds one batch in memory, no more.
 */
export const createSending = <Item>(options: SendingOptions<Item>): Sending => {
  const { what, log, atOnce } = options
  let state: ForwardStatus['state'] = 'up-to-date'
  let why: string | null = null
  let failures = 0

  const report = () => options.report(state, why)

  const becomes = (next: ForwardStatus['state'], because: string | null) => {
    const isNews = next !== state
    state = next
    why = because
    if (isNews) report()
  }

  const breakOff = async (outcome: Broken, signal: AbortSignal) => {
    failures += 1
    if (failures === 1) log.warn({ why: outcome.why }, `${what} cannot be sent on; they wait`)
    becomes(outcome.kind === 'not-let-in' ? 'not-let-in' : 'waiting', outcome.why)
    const asked = outcome.kind === 'unreachable' ? outcome.retryAfterMs : NOT_LET_IN_WAIT_MS
    await options.wait(backOffMs(failures, asked, Math.random(), LONGEST_WAIT_MS), signal)
  }

  const sendNext = async (signal: AbortSignal): Promise<void> => {
    const batch = options.next()
    if (batch.length === 0) {
      becomes('up-to-date', null)
      return options.wait(LOOK_EVERY_MS, signal)
    }
    const done = await options.send(batch)
    if (done.kind === 'broken-off') return breakOff(done.outcome, signal)
    if (failures > 0) log.info({ failures }, `${what} are sent on again`)
    failures = 0
    becomes(batch.length < atOnce ? 'up-to-date' : 'sending', null)
    if (done.refused === 0) return
    log.error({ count: done.refused, words: done.words }, `${what} were refused by the server and listed`)
    report()
  }

  const run = async (signal: AbortSignal): Promise<void> => {
    options.begin()
    report()
    while (!signal.aborted) await sendNext(signal)
    becomes('stopped', null)
  }

  return { run, report }
}
