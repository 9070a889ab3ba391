import type { EntryView } from '../wire.ts'

/** How far a spot reading is, and what came of it, in plain words. */

/** What a dipped probe has come to, as far as words need it. */
export type SpotSaid =
  | { readonly kind: 'settling'; readonly leftS: number; readonly changing: boolean }
  | { readonly kind: 'settled' }
  | { readonly kind: 'probe-out' }
  | { readonly kind: 'refused'; readonly why: 'silent' | 'faulty' | 'clipped' }
  | {
      readonly kind: 'refused'
      readonly why: 'drifting'
      readonly percent?: number
      readonly windowS?: number
    }

/** `waitedS`: since the probe was dipped, s. */
export const spotWords = (said: SpotSaid, waitedS: number): string => {
  switch (said.kind) {
    case 'settled':
      return 'Settled.'
    case 'settling':
      return said.changing
        ? `Still changing after ${seconds(waitedS)}. Waiting up to ${seconds(said.leftS)} more for it to hold still.`
        : `Settling, ${seconds(said.leftS)}.`
    case 'probe-out':
      return 'The probe is marked as out. Put it in, tap “Probe in”, then take the reading.'
    case 'refused':
      return said.why === 'drifting' ? drifting(said, waitedS) : REFUSED[said.why]
    default:
      return said satisfies never
  }
}

const REFUSED = {
  silent: 'The meter sends nothing. Check that it is on and its cable is in.',
  faulty: 'The meter sends no usable number. Check the probe, its cable and its membrane.',
  clipped:
    'The meter is at the top of its range: the value is not known. Set a higher range, or dilute an aliquot.',
} as const

const drifting = ({ percent, windowS }: Extract<SpotSaid, { why: 'drifting' }>, waitedS: number): string => {
  const way = (percent ?? 0) < 0 ? 'falls' : 'rises'
  return `Not settled after ${seconds(waitedS)}: the value still ${way} by ${Math.abs(percent ?? 0).toFixed(0)} % in ${seconds(windowS ?? 0)}. Is the probe deep enough, and is it stirred? Keep waiting, or begin again.`
}

const seconds = (s: number): string => `${Math.max(1, Math.ceil(s))} s`

/** "18.2 ± 0.2 mg/L (1 s), calibrated …, its ± 0.5 apart": what is on record of one spot reading. */
export const spotEntryWords = (data: EntryView['data']): string => {
  const by = data['calibration'] as { method?: string; u_mg_l?: number } | null
  const tau = data['tau_s']
  const calibration = by ? `calibration (${by.method}) ± ${mgPerL(by.u_mg_l)} mg/L apart` : 'uncalibrated'
  const response =
    typeof tau === 'number' ? `response time ${tau.toFixed(0)} s` : 'response time of the probe not known'
  return `${mgPerL(data['value_mg_l'])} ± ${mgPerL(data['u_mg_l'])} mg/L (1 s) by ${data['instrument']}, settled after ${Number(data['waited_s']).toFixed(0)} s; ${calibration}; ${response}`
}

const mgPerL = (value: unknown): string => Number(value).toFixed(2)
