import type { LiveBench, Potency } from '../server/wire.ts'
import { elapsedMs, type Heard, type Moment } from './moment.ts'

/**
 * What may be shown as the potency of a bench at this moment. The server's word is not enough: the screen
 * may have lost the server, so its own clock can turn a live value into one that is not live, never back.
 */
export type PotencyShown =
  | ({ readonly form: 'live' } & Measured)
  | ({ readonly form: 'by-hand'; readonly fresh: boolean } & Measured)
  | {
      readonly form: 'not-live'
      readonly why: NotLive
      readonly last: Measured | null
      readonly words: string | null
    }

export interface Measured {
  readonly value_mg_l: number
  readonly low_mg_l: number | null
  readonly high_mg_l: number | null
  readonly at: string
  readonly age_s: number
}

export type NotLive = 'not-connected' | Exclude<Potency['state'], 'live' | 'by-hand'>

/** No message for this long means that the screen, not only the meter, has lost touch. The server sends one a second. */
export const SILENT_AFTER_MS = 5000

export const inTouch = (heard: Moment, connected: boolean, now: Moment): boolean =>
  connected && elapsedMs(heard, now) <= SILENT_AFTER_MS

export const potencyShown = (heard: Heard<LiveBench>, connected: boolean, now: Moment): PotencyShown => {
  const potency = heard.value.potency
  const since_s = elapsedMs(heard.heard, now) / 1000
  const last = measured(potency, since_s)
  const not = (why: NotLive): PotencyShown => ({ form: 'not-live', why, last, words: potency.why })
  const touch = inTouch(heard.heard, connected, now)
  if (potency.state === 'by-hand' && last !== null)
    return { form: 'by-hand', fresh: touch && last.age_s <= potency.stale_after_s, ...last }
  if (!touch) return not('not-connected')
  if (potency.state !== 'live') return not(potency.state === 'by-hand' ? 'no-reading' : potency.state)
  if (last === null) return not('no-reading')
  return last.age_s > potency.stale_after_s ? not('stale') : { form: 'live', ...last }
}

const measured = (potency: Potency, since_s: number): Measured | null => {
  const { value_mg_l, low_mg_l, high_mg_l, at, age_s } = potency
  if (value_mg_l === null || at === null || !Number.isFinite(value_mg_l)) return null
  // An unknown age is an unlimited age: such a value can never pass for live.
  return {
    value_mg_l,
    low_mg_l,
    high_mg_l,
    at,
    age_s: age_s === null ? Number.POSITIVE_INFINITY : age_s + since_s,
  }
}
