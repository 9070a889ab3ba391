import type { StepEntered, StepWanted } from '../../server/wire.ts'
import { instantOf } from '../../server/wording/site-clock.ts'
import { refused, type Typed, textTyped, withoutNull } from './typed.ts'

/** A step test as typed and marked; `from` and `to` by the site's clock. */
export interface StepText {
  readonly channel: string
  readonly moved_from: string
  readonly moved_to: string
  readonly from: string
  readonly to: string
}

export const EMPTY_STEP: StepText = {
  channel: 'dissolved-ozone',
  moved_from: '',
  moved_to: '',
  from: '',
  to: '',
}

/** The span to look at, or what is still needed. */
export const spanTyped = (
  instrument: string,
  text: StepText,
  zone: string,
  now_ms: number,
): Typed<StepWanted> => {
  const [from, to] = [instantOf(zone, text.from), instantOf(zone, text.to)]
  if (text.channel === '') return refused('Choose the channel.')
  if (from === null) return refused('Mark or type the moment the probe was moved.')
  if (to === null) return refused('Mark or type the moment the value stood still.')
  if (to <= from) return refused('The end lies before the moment the probe was moved.')
  if (to > now_ms + SECOND_MS)
    return refused('The end lies in the future: mark it when the value stands still.')
  const iso = (ms: number) => new Date(ms).toISOString()
  return {
    kind: 'data',
    data: { instrument, channel: text.channel, from: iso(from), to: iso(Math.min(to, now_ms)) },
  }
}

/** Marks are kept to the second. */
const SECOND_MS = 1000

export const stepEntry = (span: StepWanted, text: StepText): StepEntered['data'] => ({
  ...span,
  ...withoutNull({ moved_from: textTyped(text.moved_from), moved_to: textTyped(text.moved_to) }),
})
