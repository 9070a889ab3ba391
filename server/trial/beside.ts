import { expectation } from '../model/expectation.ts'
import type { GasReference } from '../model/gas-concentration.ts'
import type { RuleOfThumb } from '../model/rules-of-thumb.ts'
import type { PrepTimeResult } from '../wire.ts'
import { decimal } from '../wording/format.ts'
import type { PrepTimePlan } from './trial.ts'

/** What the trade says and what physics expects of the same setting. They stand beside the trial and decide nothing. */
export const beside = (plan: PrepTimePlan, rules: readonly RuleOfThumb[]): PrepTimeResult['beside'] => [
  ...rules.flatMap((rule) =>
    rule.kind === 'range' &&
    rule.about === 'prep_min_per_250_ml' &&
    (rule.fluids === undefined || rule.fluids.includes(plan.fluid))
      ? [
          {
            what: 'Rule of thumb',
            text: `${rule.words}: ${range(rule, plan.volume_ml / 250)} (${rule.origin})`,
          },
        ]
      : [],
  ),
  { what: 'Physics', text: physics(plan) },
]

const range = ({ low, high }: { readonly low: number; readonly high: number }, times: number): string =>
  low === high
    ? `${decimal(low * times, 1)} min here`
    : `${decimal(low * times, 1)} to ${decimal(high * times, 1)} min here`

const physics = (plan: PrepTimePlan): string => {
  const { temperature_low_c: low, temperature_high_c: high } = plan.limits
  const expected = expectation({
    fluid: plan.fluid,
    volumeMl: plan.volume_ml,
    gas: { ugPerMl: plan.gas.ug_per_ml, reference: plan.gas.reference as GasReference },
    flowMlPerMin: plan.flow_ml_per_min,
    temperatureC: (low + high) / 2,
  })
  const part = plan.criterion.kind === 'fraction' ? plan.criterion.percent : 95
  const times = -Math.log1p(-part / 100) / Math.log(20)
  const { t95_min: t95, plateau_mg_l: plateau } = expected
  return `${part} % of what it levels off at after ${decimal(times * t95.low, 1)} to ${decimal(times * t95.high, 1)} min; it levels off at ${decimal(plateau.low, 1)} to ${decimal(plateau.high, 1)} µg/mL at ${decimal((low + high) / 2, 1)} °C`
}

/** When a proof no longer holds. Common practice, no source. */
export const REVALIDATE: readonly string[] = [
  'another generator, generator setting, sparger (stone), tube, flask or destruct',
  'another volume, fluid or way of purging; a lot that lies apart from the others',
  'gas, flow or temperature outside the limits of the plan',
  'another reference method, a new probe, or a calibration that moves the meter by more than its own uncertainty',
  'a batch outside the limits of the control chart, or a drift along it',
  'a year after the last batch of the trial',
]
