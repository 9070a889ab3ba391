import type { Clock } from './clock.ts'
import type { PortConfig } from './config-port.ts'
import type { Log } from './log.ts'
import { createPipeline, type Outcome } from './pipeline.ts'
import type { OpenPort } from './port/port.ts'
import { keepOpen, type PortState } from './port/reconnect.ts'
import { openerOf } from './port-opener.ts'
import type { Arrival, Discard } from './read-frames.ts'
import type { NewReading } from './reading/reading.ts'
import type { NewDaemonEvent, PortStatus } from './store/store.ts'
import type { PortTap } from './tap/hub.ts'
import type { TimeUs } from './units.ts'

export interface PortWorkerOptions {
  readonly config: PortConfig
  readonly clock: Clock
  readonly log: Log
  /** The newest reading of an earlier run: what was missed since is a gap like any other. */
  readonly last: Arrival | undefined
  readonly onReadings: (readings: readonly NewReading[]) => void
  readonly onEvent: (event: NewDaemonEvent) => void
  /** Told what comes and goes; nothing depends on who listens. */
  readonly tap: PortTap
}

/** A gap is worth an event after this many missed intervals, and never below this long. */
const GAP_INTERVALS = 5
const GAP_LEAST_MS = 5000

/** One port at work: keeps it open, turns its bytes into readings, counts what was discarded, notices gaps. */
export const startPortWorker = (options: PortWorkerOptions) => {
  const { config, clock, log, last, onReadings, onEvent, tap } = options
  const pipeline = createPipeline(config)
  const counts = { frames: 0, readings: 0, discarded: {} as Record<string, number> }
  let unreported: Discard[] = []
  let state: PortState = { state: 'opening' }
  let lastReading = last
  const slowestMs = Math.max(...config.instruments.map((i) => i.intervalS), 0.001) * 1000

  const arrival = (): Arrival => ({ timeUs: clock.now(), monoMs: clock.monoMs(), bootId: clock.bootId })
  const event = (kind: NewDaemonEvent['kind'], detail: Record<string, unknown>) =>
    onEvent({ timeUs: clock.now(), monoMs: clock.monoMs(), kind, port: config.name, detail })

  const noteGap = (at: Arrival) => {
    const before = lastReading
    lastReading = at
    if (!before) return
    const missedMs = millisecondsBetween(before, at)
    if (missedMs < Math.max(GAP_LEAST_MS, GAP_INTERVALS * slowestMs)) return
    event('gap', {
      from_us: before.timeUs,
      to_us: at.timeUs,
      seconds: missedMs / 1000,
      benches: [...new Set(config.instruments.map((i) => i.bench))],
    })
  }

  const take = (outcome: Outcome, at: Arrival) => {
    counts.frames += outcome.frames
    counts.readings += outcome.readings.length
    for (const d of outcome.discarded) counts.discarded[d.why] = (counts.discarded[d.why] ?? 0) + 1
    if (unreported.length < MOST_UNREPORTED) unreported.push(...outcome.discarded.slice(0, MOST_UNREPORTED))
    if (outcome.readings.length === 0) return
    noteGap(at)
    onReadings(outcome.readings)
  }

  const onState = (next: PortState) => {
    const changed = next.state !== state.state || whyOf(next) !== whyOf(state)
    const isNews =
      changed &&
      next.state !== 'opening' &&
      !(next.state === 'waiting' && state.state === 'opening' && lastWhy === whyOf(next))
    state = next
    if (next.state === 'waiting') lastWhy = whyOf(next)
    if (next.state === 'open') lastWhy = null
    tap.state(next.state, whyOf(next) ?? lastWhy)
    if (!isNews) return
    log.info({ port: config.name, state: next.state, why: whyOf(next) }, 'port')
    event('port-state', { state: next.state, why: whyOf(next) })
  }
  let lastWhy: string | null = null

  /** Only said, never acted upon: a number is stored as the wiring says it is. */
  let saidDoubt: string | null = null
  const noteDoubt = () => {
    const doubt = pipeline.doubt()
    if (doubt === saidDoubt) return
    const isNews = doubt !== null && saidDoubt === null
    saidDoubt = doubt
    tap.doubt(doubt)
    if (!isNews) return
    log.warn({ port: config.name, doubt }, 'the numbers make the wiring doubtful')
    event('port-state', { state: state.state, why: doubt })
  }

  let opened: OpenPort | undefined
  let waking: NodeJS.Timeout | undefined
  const goOn = (outcome: Outcome, at: Arrival) => {
    take(outcome, at)
    tap.taken(outcome.taken)
    if (outcome.send) {
      opened?.write(outcome.send)
      tap.bytes('to-meter', outcome.send)
    }
    if (outcome.wakeAtMs === undefined) return
    clearTimeout(waking)
    waking = setTimeout(wake, Math.max(0, Math.ceil(outcome.wakeAtMs - clock.monoMs())))
  }
  const wake = () => {
    const at = arrival()
    goOn(pipeline.wake(at), at)
  }

  const stop = keepOpen(openerOf(config), {
    silenceMs: config.silenceMs,
    once: config.source.kind === 'replay',
    onState,
    onOpen: (port) => {
      opened = port
      wake()
    },
    onData: (chunk) => {
      const at = arrival()
      tap.bytes('from-meter', chunk)
      goOn(pipeline.push(chunk, at), at)
      noteDoubt()
    },
    onCut: () => {
      opened = undefined
      clearTimeout(waking)
      const outcome = pipeline.cut()
      take(outcome, arrival())
      tap.taken(outcome.taken)
    },
  })

  const status = (): PortStatus => ({
    port: config.name,
    timeUs: clock.now(),
    state: state.state,
    // a try in progress does not hide why it is needed
    why: whyOf(state) ?? lastWhy ?? saidDoubt,
    frames: counts.frames,
    readings: counts.readings,
    discarded: { ...counts.discarded },
    lastReadingUs: lastReading ? (lastReading.timeUs as TimeUs) : null,
  })

  /** Discards since the last call, as one event with counts by reason and one sample of each. */
  const reportDiscards = () => {
    if (unreported.length === 0) return
    const byReason: Record<string, { count: number; bytes: number; sample: string }> = {}
    for (const d of unreported) {
      const sum = byReason[d.why] ?? { count: 0, bytes: 0, sample: d.sample }
      byReason[d.why] = { count: sum.count + 1, bytes: sum.bytes + d.bytes, sample: sum.sample }
    }
    event('discarded', { by_reason: byReason, totals: { ...counts.discarded } })
    unreported = []
  }

  return {
    status,
    reportDiscards,
    stop: () => {
      clearTimeout(waking)
      stop()
    },
  }
}

/** Uptime inside one boot; across boots only the wall clock is left. */
const millisecondsBetween = (from: Arrival, to: Arrival): number =>
  from.bootId === to.bootId ? to.monoMs - from.monoMs : (to.timeUs - from.timeUs) / 1000

/** Discards kept with their samples between two reports; the totals count all of them. */
const MOST_UNREPORTED = 1000

const whyOf = (state: PortState): string | null => ('why' in state ? state.why : null)

export type PortWorker = ReturnType<typeof startPortWorker>
