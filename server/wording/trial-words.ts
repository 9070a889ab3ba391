import type { TrialBatch, TrialBound, TrialSpread, TrialView } from '../wire.ts'
import { decimal } from './format.ts'
import { FLUID, GAS_REFERENCE, MEASURING_PLACE, PURGE } from './words.ts'

/** Trials in words, for screen and print alike. */

export const TRIAL_ANSWER = {
  shown: 'Shown',
  'not-shown': 'Not shown',
  'cannot-tell': 'Cannot tell',
} as const satisfies Readonly<Record<TrialView['result']['answer'], string>>

export const TRIAL_KIND = {
  'prep-time': 'Prep time',
  'fluid-comparison': 'Comparison of fluids',
} as const satisfies Readonly<Record<TrialView['kind'], string>>

/** What a trial asks, in one sentence. */
export const questionWords = ({ plan }: Pick<TrialView, 'plan'>): string => {
  if (plan.kind === 'fluid-comparison')
    return `Which of ${plan.groups.map((g) => g.name).join(', ')} levels off higher and which lasts longer, ${plan.volume_ml} mL at one setting and ${plan.temperature_c} °C?`
  const fluid = FLUID[plan.fluid] + (plan.fluid_detail ? ` (${plan.fluid_detail})` : '')
  return `Is ozone on for ${plan.prep_min} min enough for ${plan.volume_ml} mL of ${fluid.toLowerCase()} at this setting, every time?`
}

/** The plan as names and values. */
export const planFacts = ({ plan }: Pick<TrialView, 'plan'>): [name: string, value: string][] => {
  const { limits, gas } = plan
  const common: [string, string][] = [
    ['Volume', `${plan.volume_ml} mL ± ${limits.volume_percent} %`],
    ['Gas value', `${gas.ug_per_ml} µg/mL ${GAS_REFERENCE[gas.reference]} ± ${limits.gas_percent} %`],
    ['Gas flow', `${plan.flow_ml_per_min} mL/min ± ${limits.flow_percent} %`],
    ['Temperature while bubbling', `${limits.temperature_low_c} to ${limits.temperature_high_c} °C`],
    ...(plan.purge === undefined ? [] : [['Purge', PURGE[plan.purge]] as [string, string]]),
    ...(plan.measuring_place === undefined
      ? []
      : [['Measured', MEASURING_PLACE[plan.measuring_place]] as [string, string]]),
    ...(plan.benches === undefined ? [] : [['Benches', plan.benches.join(', ')] as [string, string]]),
    ['Confidence', `${plan.confidence_percent} %`],
    ['Seed of the run order', plan.seed],
  ]
  if (plan.kind === 'prep-time')
    return [
      ['Prep time to be proven', `${plan.prep_min} min`],
      ['Fluid', FLUID[plan.fluid] + (plan.fluid_detail ? `, ${plan.fluid_detail}` : '')],
      [
        'Criterion',
        plan.criterion.kind === 'fraction'
          ? `${plan.criterion.percent} % of what it levels off at`
          : 'the target is reached',
      ],
      ['Target', `${plan.target_mg_l} µg/mL at ozone-off and after the purge`],
      ['Batches', `at least ${plan.batches} on ${plan.days} days`],
      ['To be covered', `${plan.coverage_percent} % of batches`],
      ...common,
    ]
  return [
    ['Groups', plan.groups.map((g) => g.name).join(', ')],
    ['Batches of each', `at least ${plan.batches} on ${plan.days} days`],
    ['Compared at', `${plan.temperature_c} °C and the gas value below`],
    ['Margin that does not matter', `± ${plan.margin_percent} %`],
    ...(plan.prep_min === undefined ? [] : [['Ozone on for', `${plan.prep_min} min`] as [string, string]]),
    ...common,
  ]
}

/** One measure of a trial: each batch's own value, and the group's beside it. */
export interface TrialMeasureShown {
  readonly name: string
  readonly unit: string
  readonly points: readonly {
    readonly batch: TrialBatch
    readonly point: NonNullable<TrialBatch['minutes']>
  }[]
  readonly spread: TrialSpread | null
  readonly bound: TrialBound | null
}

export const measuresShown = ({ result, members }: TrialView): TrialMeasureShown[] => {
  const { detail } = result
  const points = (key: Key, group: string | null) =>
    members.flatMap((batch) => {
      const point = batch[key]
      return point && (group === null || batch.group === group) ? [{ batch, point }] : []
    })
  if (detail.kind === 'prep-time')
    return [
      { name: 'Time needed', unit: 'min', points: points('minutes', null), ...detail.minutes },
      {
        name: 'Potency at the planned ozone-off',
        unit: 'µg/mL',
        points: points('potency_off_mg_l', null),
        ...detail.potency_off_mg_l,
      },
      {
        name: 'Potency after the purge',
        unit: 'µg/mL',
        points: points('potency_after_mg_l', null),
        ...detail.potency_after_mg_l,
      },
    ]
  return detail.groups.flatMap((g): TrialMeasureShown[] => [
    {
      name: `${g.name}: levels off at`,
      unit: 'µg/mL',
      points: points('plateau_normal_mg_l', g.name),
      spread: g.plateau_mg_l,
      bound: null,
    },
    {
      name: `${g.name}: half-life at 20 °C`,
      unit: 'min',
      points: points('half_life_20c_min', g.name),
      spread: g.half_life_20c_min,
      bound: null,
    },
  ])
}

type Key = 'minutes' | 'potency_off_mg_l' | 'potency_after_mg_l' | 'plateau_normal_mg_l' | 'half_life_20c_min'

export const spreadWords = (spread: TrialSpread | null, unit: string): string =>
  spread === null
    ? 'fewer than two batches'
    : `${decimal(spread.mean, 2)} ${unit} (${decimal(spread.low, 2)} to ${decimal(spread.high, 2)}); from batch to batch ${decimal(spread.between_percent, 1)} %, one batch known to ${decimal(spread.within_percent, 1)} %, I² ${decimal(spread.i2_percent, 0)} %, Q ${decimal(spread.q, 1)} (p ${pWords(spread.q_p)})`

export const boundWords = (bound: TrialBound | null, unit: string): string => {
  if (bound === null) return 'no bound'
  const side = bound.side === 'upper' ? 'at most' : 'at least'
  const full =
    bound.with_calibration === null
      ? ''
      : `; with the calibration ${decimal(bound.with_calibration, 2)} ${unit}`
  return `${side} ${decimal(bound.value, 2)} ${unit} (k ${decimal(bound.k, 3)}, ${bound.batches} batches, spread ${decimal(bound.spread_percent, 1)} %)${full}`
}

export const pWords = (p: number): string => (p < 0.001 ? 'under 0.001' : decimal(p, 3))

/** Why a batch does or does not count, in one line. */
export const standingWords = (batch: TrialBatch): string => {
  const words = [
    ...(batch.excluded ? [`left out by ${batch.excluded.by}: ${batch.excluded.why ?? 'no reason'}`] : []),
    ...(batch.off_plan.length > 0 ? [`off plan: ${batch.off_plan.join(', ')}`] : []),
    ...batch.no_number.map((why) => `no number for ${why}`),
    ...batch.flags,
    ...(batch.how === 'selected' ? [`taken in afterwards: ${batch.joined.why ?? 'no reason'}`] : []),
  ]
  return `${batch.pooled ? 'counts' : 'does not count'}${words.length > 0 ? `; ${words.join('; ')}` : ''}`
}
