import type { BatchHead, Decision, FitSummary, Forecast, LiveBench, PastCheck, Phase } from '../wire.ts'

/** The closed lists of the wire, in words for people. */

export const PHASE: Readonly<Record<Phase['kind'], string>> = {
  'no-batch': 'No batch',
  'set-up': 'Being set up',
  bubbling: 'Bubbling',
  purge: 'Purge: oxygen only',
  standing: 'Standing',
  discarded: 'Discarded',
}

export const CHECKED: Readonly<Record<PastCheck['kind'], string>> = {
  'dissolved-ozone-meter': 'dissolved-ozone meter',
  thermometer: 'thermometer',
  flowmeter: 'flowmeter',
  'gas-analyser': 'gas analyser',
  barometer: 'barometer',
  'volume-measure': 'volume measure',
  'room-monitor': 'room ozone monitor',
}

const DECISION: Readonly<Record<Decision, string | null>> = {
  above: 'Above the value you set',
  below: 'Below the value you set',
  'too-close-to-say': 'Too close to the value you set to say above or below',
  'not-calibrated': 'Not calibrated: cannot say above or below the value you set',
  'no-target': null,
  'no-value': null,
}

/** While gas flows the value is still on its way: not there yet is progress, not a warning. */
export const underWay = ({ kind }: Phase): boolean => kind === 'bubbling' || kind === 'purge'

export const decisionWords = ({ decision, phase }: Pick<LiveBench, 'decision' | 'phase'>): string | null => {
  if (decision !== 'below' || !underWay(phase)) return DECISION[decision]
  return phase.kind === 'bubbling' ? 'Not yet at the value you set' : 'Not at the value you set'
}

/**
 * "Below" alone is for the decision rule to say, which counts the band. The forecast only knows the middle of it,
 * and says so.
 */
export const forecastBelow = ({ decision, phase }: Pick<LiveBench, 'decision' | 'phase'>): string => {
  if (decision === 'below') return decisionWords({ decision, phase }) ?? ''
  if (phase.kind === 'bubbling') return 'The best estimate is not yet at the value you set'
  return 'The best estimate is below the value you set'
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
  'in-the-flask': 'in the flask, all the time',
  dipped: 'in the flask, dipped for each reading',
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

export const AGAINST: Readonly<Record<LiveBench['verdicts'][number]['against'], string>> = {
  expectation: 'Beside the physics',
  history: 'Beside this clinic’s own batches',
  'rule-of-thumb': 'Beside rules of thumb (they decide nothing)',
}

export const ANSWER: Readonly<Record<LiveBench['verdicts'][number]['answer'], string>> = {
  agrees: 'Agrees',
  differs: 'Differs',
  'cannot-tell': 'Cannot tell',
}

/** What a meter corrects for temperature by itself. */
export const COMPENSATION: Readonly<Record<string, string>> = {
  none: 'none',
  membrane: 'the membrane only',
  'membrane-and-solubility': 'membrane and solubility',
}

/** By which approved version a batch was opened, or that it was by none. */
export const sheetWords = (sheet: BatchHead['method_sheet']): string =>
  sheet === null ? 'without a method sheet' : `${sheet.name}, version ${sheet.version}`

/** How often and for how long a fill was and may be bubbled again; null where its sheet does not allow it and it never was. */
export const againWords = ({ bubbled_again: again }: Pick<BatchHead, 'bubbled_again'>): string | null => {
  const { times, ozone_min, most_times, most_ozone_min } = again
  const minutes = ozone_min.toFixed(1)
  if (most_times === null || most_ozone_min === null)
    return times === 0 ? null : `bubbled again ${times} times, ozone on for ${minutes} min in all`
  return `bubbled again ${times} of at most ${most_times} times, ozone on for ${minutes} of at most ${most_ozone_min} min in all`
}
