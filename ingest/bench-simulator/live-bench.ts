import type { ActionInput } from './action.ts'
import type { ActionResult } from './apply-action.ts'
import type { SimulatedSample } from './bench-simulator.ts'
import { mustCheck, numberIn } from './checked.ts'
import { type LiveClock, machineClock } from './live-clock.ts'
import { createPlayer, type Player } from './player.ts'
import { type BenchScript, benchScriptSchema } from './script.ts'

/** Samples older than this when their turn comes are not sent: a meter does not repeat what nobody could hear. */
const LATEST_MS = 2000
/** Timers are set anew at least this often. */
const LONGEST_WAIT_MS = 60_000
const MAX_REFUSALS = 20

/** `sequence` counts samples from the bench's start, sent or not. */
export type SampleListener = (sample: SimulatedSample, sequence: number) => void

export interface LiveBenchOptions {
  /** Spacing of samples in the bench's time; 1 s unless said. */
  readonly intervalS?: number
  /** Seconds of the bench per second of the wall; 1 unless said. */
  readonly speed?: number
  readonly clock?: LiveClock
}

/** A scripted bench in real time. Samples lie at start + n·interval of the bench's time; nothing is sent before `start`. */
export const createLiveBench = (
  script: BenchScript,
  startEpochMs: number,
  options: LiveBenchOptions = {},
): LiveBench => new LiveBench(script, startEpochMs, options)

export class LiveBench {
  readonly #startEpochMs: number
  readonly #intervalS: number
  readonly #speed: number
  readonly #clock: LiveClock
  readonly #player: Player
  readonly #listeners = new Set<SampleListener>()
  readonly #refusals: string[] = []
  /** A wall time and the bench's time then; absent while stopped. */
  #anchor: { readonly wallMs: number; readonly benchS: number } | undefined
  #callOff = () => {}
  #next = 0
  #missed = 0
  #latest: SimulatedSample | undefined

  constructor(script: BenchScript, startEpochMs: number, options: LiveBenchOptions) {
    this.#startEpochMs = startEpochMs
    this.#intervalS = mustCheck(numberIn(0.001, 86_400, 's'), options.intervalS ?? 1, 'intervalS')
    this.#speed = mustCheck(numberIn(0.01, 10_000), options.speed ?? 1, 'speed')
    this.#clock = options.clock ?? machineClock
    this.#player = createPlayer(mustCheck(benchScriptSchema, script, 'script'), (event, why) =>
      this.#keepRefusal(`${event.action.do} at ${event.atS} s: ${why}`),
    )
  }

  /** Plays the script up to now without sending, then sends one sample per interval. Once; a stopped bench stays so. */
  start(): void {
    if (this.#anchor !== undefined || this.#next > 0) return
    const wallMs = this.#clock.nowMs()
    this.#anchor = { wallMs, benchS: (wallMs - this.#startEpochMs) / 1000 }
    while (this.#next <= this.#newestDue()) this.#take()
    this.#tick()
  }

  stop(): void {
    this.#callOff()
    this.#anchor = undefined
  }

  /** Does this now, besides the script. */
  apply(action: ActionInput): ActionResult {
    if (this.#anchor === undefined) return { ok: false, why: 'the bench is not running' }
    const nowS = this.#nowS()
    if (nowS < 0) return { ok: false, why: `the bench starts in ${Math.ceil(-nowS / this.#speed)} s` }
    this.#sendDue()
    return this.#player.applyAt(nowS, action)
  }

  /** The result ends the subscription. */
  onSample(listener: SampleListener): () => void {
    this.#listeners.add(listener)
    return () => {
      this.#listeners.delete(listener)
    }
  }

  /** Last sample, sent or not; absent before the first. */
  latest(): SimulatedSample | undefined {
    return this.#latest
  }

  /** Samples that came too late to be sent. */
  missed(): number {
    return this.#missed
  }

  /** Script actions that the bench refused, because somebody had done something else; the last 20, oldest first. */
  refused(): readonly string[] {
    return [...this.#refusals]
  }

  #tick(): void {
    this.#sendDue()
    if (this.#anchor === undefined) return
    const waitMs = ((this.#next * this.#intervalS - this.#nowS()) / this.#speed) * 1000
    // Whole milliseconds: a shorter wait can vanish in the rounding of the clock and never end.
    const boundedMs = Math.min(LONGEST_WAIT_MS, Math.max(0, Math.ceil(waitMs)))
    this.#callOff = this.#clock.after(boundedMs, () => this.#tick())
  }

  #sendDue(): void {
    const newest = this.#newestDue()
    const inTime = newest - Math.ceil(((LATEST_MS / 1000) * this.#speed) / this.#intervalS)
    while (this.#next <= newest) {
      const sequence = this.#next
      const sample = this.#take()
      if (sequence < inTime) this.#missed++
      else for (const listener of this.#listeners) listener(sample, sequence)
    }
  }

  #take(): SimulatedSample {
    const sample = this.#player.sampleAt(this.#next * this.#intervalS)
    this.#latest = sample
    this.#next++
    return sample
  }

  /** A timer that fires a hair early must not wait a whole interval more. */
  #newestDue(): number {
    return Math.floor(this.#nowS() / this.#intervalS + 1e-6)
  }

  #nowS(): number {
    if (this.#anchor === undefined) return Number.NEGATIVE_INFINITY
    return this.#anchor.benchS + ((this.#clock.nowMs() - this.#anchor.wallMs) / 1000) * this.#speed
  }

  #keepRefusal(why: string): void {
    this.#refusals.push(why)
    if (this.#refusals.length > MAX_REFUSALS) this.#refusals.shift()
  }
}
