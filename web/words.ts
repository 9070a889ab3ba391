import type { BatchHead, Decision, FitSummary, Forecast, LiveBench, Phase } from '../server/wire.ts'
import type { NotLive } from './potency-shown.ts'

/** The closed lists of the wire, in words for people. */

export const PHASE: Readonly<Record<Phase['kind'], string>> = {
  'no-batch': 'No batch',
  'set-up': 'Being set up',
  bubbling: 'Bubbling',
  purge: 'Purge: oxygen only',
  standing: 'Standing',
  discarded: 'Discarded',
}

export const DECISION: Readonly<Record<Decision, string | null>> = {
  above: 'Above the value you set',
  below: 'Below the value you set',
  'too-close-to-say': 'Too close to the value you set to say above or below',
  'not-calibrated': 'Not calibrated: cannot say above or below the value you set',
  'no-target': null,
  'no-value': null,
}

export const NOT_LIVE: Readonly<Record<NotLive, { readonly head: string; readonly todo: string }>> = {
  'not-connected': {
    head: 'Not connected',
    todo: 'This screen is not connected: numbers are old. Check its network; look at the meter itself.',
  },
  stale: {
    head: 'No new reading',
    todo: 'Do not go by the old value. Check the meter, or take a new reading by hand.',
  },
  fault: { head: 'Meter fault', todo: 'Look at the meter. Until it is repaired, take a test-kit reading.' },
  clipped: {
    head: 'Over the meter’s range',
    todo: 'The meter cannot show more. Set a higher range, or dilute an aliquot and measure it with a test kit.',
  },
  'probe-out': { head: 'Probe is out', todo: 'Put the probe back, then tap “Probe in”.' },
  settling: { head: 'Still settling', todo: 'Wait: the probe has not settled yet.' },
  'no-reading': {
    head: 'No reading',
    todo: 'No meter reports here. Take a test-kit reading, or go by the clock.',
  },
}

export const FLUID: Readonly<Record<BatchHead['fluid'], string>> = {
  saline: 'Saline 0.9\u00a0%',
  distilled: 'Distilled water',
  filtered: 'Filtered water',
  other: 'Other fluid',
}

export const GAS_REFERENCE: Readonly<Record<string, string>> = {
  'normal-0c-101kpa': 'per normal mL (0 °C, 101.325 kPa)',
  'stp-0c-100kpa': 'at 0 °C, 100 kPa',
  '15c-101kpa': 'at 15 °C, 101.325 kPa',
  '20c-101kpa': 'at 20 °C, 101.325 kPa',
  '25c-100kpa': 'at 25 °C, 100 kPa',
  ambient: 'at the room’s temperature and pressure',
}

export const MEASURING_PLACE: Readonly<Record<string, string>> = {
  'in-the-flask': 'in the flask',
  'flow-cell': 'flow cell',
  aliquot: 'aliquot, taken out and thrown away',
  'companion-flask': 'companion flask, same fluid, never drawn from',
}

export const PURGE: Readonly<Record<string, string>> = {
  'through-the-fluid': 'oxygen through the fluid',
  'tube-lifted-clear': 'tube lifted clear of the fluid',
  'bypass-to-destruct': 'by-pass to the destruct',
  none: 'none',
}

export const BASIS: Readonly<Record<Forecast['basis'], string>> = {
  readings: 'forecast from this batch’s readings',
  history: 'estimate from this clinic’s earlier batches, not from readings of this one',
  expectation: 'estimate from the physics alone, not from readings',
  none: 'no basis',
}

export const FIT: Readonly<Record<FitSummary['kind'], string>> = {
  rise: 'Rise while bubbling',
  purge: 'Purge',
  decay: 'Decay while standing',
}

export const ANSWER: Readonly<Record<LiveBench['verdicts'][number]['answer'], string>> = {
  agrees: 'Agrees',
  differs: 'Differs',
  'cannot-tell': 'Cannot tell',
}
