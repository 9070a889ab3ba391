import type { Forecast, LiveBench } from '../server/wire.ts'

/** What the screen may say about time, and whether it may say it with the big countdown. */
export type TimeLeft =
  | { readonly kind: 'ozone-off-due'; readonly at: string; readonly in_s: number }
  | {
      readonly kind: 'above-until'
      readonly until: string | null
      readonly at_least: string
      readonly left_s: number
      readonly basis: Forecast['basis']
    }
  | { readonly kind: 'early-bound-passed'; readonly at_least: string; readonly until: string | null }
  | { readonly kind: 'if-off-now'; readonly until: string | null; readonly at_least: string | null }
  | { readonly kind: 'below-target' }
  | { readonly kind: 'no-target' }
  | { readonly kind: 'cannot-tell'; readonly why: string | null }
  | { readonly kind: 'nothing' }

/** The planned ozone-off while bubbling, else the forecast; the early bound is what counts down. */
export const timeLeft = (live: LiveBench, now_ms: number): TimeLeft => {
  if (live.batch === null || live.phase.kind === 'no-batch' || live.phase.kind === 'discarded')
    return { kind: 'nothing' }
  const planned = live.ozone_off_at_planned
  if (live.phase.kind === 'bubbling' && planned !== null)
    return { kind: 'ozone-off-due', at: planned, in_s: secondsTo(planned, now_ms) }
  return ofForecast(live.forecast, now_ms)
}

/** The forecast alone, also used beside a planned ozone-off. */
export const ofForecast = (forecast: Forecast, now_ms: number): TimeLeft => {
  const { reaches_target_at: until, early_bound_at: at_least, basis, why } = forecast
  switch (forecast.state) {
    case 'counting':
      if (at_least === null) return { kind: 'cannot-tell', why }
      return secondsTo(at_least, now_ms) > 0
        ? { kind: 'above-until', until, at_least, left_s: secondsTo(at_least, now_ms), basis }
        : { kind: 'early-bound-passed', at_least, until }
    case 'if-off-now':
      return { kind: 'if-off-now', until, at_least }
    case 'below-target':
      return { kind: 'below-target' }
    case 'no-target':
      return { kind: 'no-target' }
    case 'cannot-tell':
      return { kind: 'cannot-tell', why }
    default:
      return forecast.state satisfies never
  }
}

const CALL_FOR_S = 60

/** The planned ozone-off has come within the last minute and nobody has entered it. */
export const ozoneOffDue = (live: LiveBench, now_ms: number): boolean => {
  const left = timeLeft(live, now_ms)
  return left.kind === 'ozone-off-due' && left.in_s <= 0 && left.in_s > -CALL_FOR_S
}

const secondsTo = (at: string, now_ms: number): number => (Date.parse(at) - now_ms) / 1000
