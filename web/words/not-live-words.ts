import type { NotLive } from '../potency-shown.ts'

interface NotLiveWords {
  readonly head: string
  readonly todo: string
}

/** Where values are typed in there is no meter to look at; between spot readings it is no use to. */
export const notLiveWords = (why: NotLive, metered: boolean, spot = false): NotLiveWords =>
  (spot ? SPOT[why] : metered ? undefined : NO_METER[why]) ?? NOT_LIVE[why]

const SPOT: Partial<Readonly<Record<NotLive, NotLiveWords>>> = {
  stale: { head: 'No recent reading', todo: 'Do not go by the old value. Take another spot reading.' },
  'no-reading': { head: 'No reading', todo: 'Measured only when a spot reading is taken.' },
}

const NO_METER: Partial<Readonly<Record<NotLive, NotLiveWords>>> = {
  'not-connected': {
    head: 'Not connected',
    todo: 'This screen is not connected: numbers are old. Check its network; go by your own readings.',
  },
  stale: { head: 'No recent reading', todo: 'Do not go by the old value. Take another reading.' },
  'no-reading': { head: 'No reading', todo: 'Take a test-kit reading and type it in, or go by the clock.' },
}

const NOT_LIVE: Readonly<Record<NotLive, NotLiveWords>> = {
  'not-connected': {
    head: 'Not connected',
    todo: 'This screen is not connected: numbers are old. Check its network; look at the meter itself.',
  },
  stale: {
    head: 'No new reading',
    todo: 'Do not go by the old value. Check the meter and its cable, or take a reading by hand.',
  },
  fault: { head: 'Meter fault', todo: 'Look at the meter. Until it is repaired, take a test-kit reading.' },
  clipped: {
    head: 'Over the meter’s range',
    todo: 'The meter cannot show more. Set a higher range, or dilute an aliquot and measure it with a test kit.',
  },
  'below-range': {
    head: 'Under the meter’s range',
    todo: 'The meter cannot show so little. Where a number matters, measure an aliquot with a finer test kit.',
  },
  'probe-out': { head: 'Probe is out', todo: 'Put the probe back, then tap “Probe in”.' },
  settling: { head: 'Still settling', todo: 'Wait: the probe has not settled yet.' },
  'no-reading': {
    head: 'No reading',
    todo: 'The meter has sent nothing yet. Check it and its cable, or take a test-kit reading.',
  },
}
