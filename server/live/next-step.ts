import type { AlarmName } from '../alarm/alarm-names.ts'
import type { LiveBench } from '../wire.ts'

type View = Omit<LiveBench, 'next_step' | 'alarms'>
type NextStep = LiveBench['next_step']

export interface ClockWords {
  /** A time of day in the site's zone. */
  readonly time: (iso: string) => string
}

/**
 * The one next step, in plain words. It never says that anything is safe or fit for use. Air that may not be breathed comes
 * before whatever the batch asks for.
 */
export const nextStep = (view: View, words: ClockWords, alarms: LiveBench['alarms'] = []): NextStep => {
  if (alarms.some(isBadAir)) return leave(view)
  const { batch, potency } = view
  if (!batch) return { text: 'Open a batch when the flask is filled.', action: 'open' }
  if (potency.state === 'stale' && isSingle(view))
    return {
      text: 'The last reading is old: take another reading.',
      action: view.spot_mode ? 'spot-reading' : null,
    }
  if (potency.state === 'stale')
    return { text: 'Check the meter: it has stopped sending. Carry on by your clock.', action: null }
  if (potency.state === 'fault') return { text: 'Check the meter and the probe.', action: null }
  switch (view.phase.kind) {
    case 'no-batch':
    case 'discarded':
      return { text: 'Open a batch when the flask is filled.', action: 'open' }
    case 'set-up':
      return setUp(view, words)
    case 'bubbling':
      return bubbling(view, words)
    case 'purge':
      return {
        text: 'Take the tube clear of the fluid while gas still flows, then shut the flow.',
        action: 'flow-off',
      }
    case 'standing':
      return standing(view, words)
  }
}

const AIR: ReadonlySet<string> = new Set<AlarmName>(['room-ozone-ceiling', 'room-ozone-8-h'])
const STANDING: ReadonlySet<string> = new Set(['unacknowledged', 'acknowledged'])

/** Acknowledged or not: the air is no better for it. */
const isBadAir = ({ alarm, state }: LiveBench['alarms'][number]): boolean =>
  AIR.has(alarm) && STANDING.has(state)

const leave = ({ phase }: View): NextStep => ({
  text: 'Ozone off. Everyone out. Ventilate.',
  action: phase.kind === 'bubbling' ? 'ozone-off' : null,
})

/** One reading at a time, typed in or taken with a dipped probe. */
const isSingle = ({ metered, spot_mode: spot }: View): boolean => !metered || spot

const setUp = (view: View, words: ClockWords): NextStep => {
  const rise = view.fits.find((fit) => fit.kind === 'rise')
  return rise
    ? { text: `The reading rises since ${words.time(rise.start)}. Ozone on? Enter it.`, action: 'ozone-on' }
    : { text: 'Check the steps, then ozone on.', action: 'ozone-on' }
}

const bubbling = (view: View, words: ClockWords): NextStep => {
  const planned = view.ozone_off_at_planned
  if (planned && planned <= view.at)
    return {
      text: `The planned prep time ended at ${words.time(planned)}. Ozone off now.`,
      action: 'ozone-off',
    }
  if (planned) return { text: `Ozone off at ${words.time(planned)}, as planned.`, action: 'ozone-off' }
  return { text: 'No prep time was set: you decide when ozone goes off.', action: 'ozone-off' }
}

const standing = (view: View, words: ClockWords): NextStep => {
  const { decision, forecast, batch } = view
  if (batch && batch.left_ml <= 0) return { text: 'Nothing is left. Discard the flask.', action: 'discard' }
  if (view.spot_mode && view.potency.state === 'no-reading')
    return { text: 'Dip the probe and take a spot reading.', action: 'spot-reading' }
  if (decision === 'below')
    return { text: 'Below the value you set. Discard, under extraction.', action: 'discard' }
  if (forecast.state === 'below-target' && decision !== 'above')
    return {
      text: 'The best estimate is below the value you set. Discard, or measure again.',
      action: 'discard',
    }
  if (decision === 'above' && forecast.early_bound_at)
    return { text: `Draw up before ${words.time(forecast.early_bound_at)}, or discard.`, action: 'draw-up' }
  if (decision === 'too-close-to-say')
    return {
      text: 'Too close to say: take another reading, or discard.',
      action: view.spot_mode ? 'spot-reading' : null,
    }
  if (decision === 'not-calibrated')
    return {
      text: `${view.metered ? 'The meter' : 'The value typed in'} is not calibrated: the program cannot say above or below.`,
      action: null,
    }
  return { text: 'Draw up or discard.', action: 'draw-up' }
}
