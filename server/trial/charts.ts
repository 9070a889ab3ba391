import type { TrialResult } from '../wire.ts'
import { normalPlateau } from './compare-batch.ts'
import { type MemberFacts, numberOf } from './member-facts.ts'
import { minutesOf, reachedAt } from './prep-batch.ts'
import type { Relative } from './quantity.ts'
import { controlChart } from './stats/control-chart.ts'
import type { TrialPlan } from './trial.ts'

type Chart = TrialResult['charts'][number]

export interface TrialMeasure {
  readonly name: string
  readonly unit: string
  readonly of: (member: MemberFacts) => Relative | undefined
}

/** What is followed from batch to batch: of a comparison each group for itself. */
export const measuresOf = (plan: TrialPlan): TrialMeasure[] => {
  if (plan.kind === 'prep-time')
    return [
      { name: 'Time needed', unit: 'min', of: (m) => minutesOf(plan, m.facts).minutes },
      {
        name: `Potency after ${plan.prep_min} min`,
        unit: 'µg/mL',
        of: (m) => reachedAt(m.facts, plan.prep_min),
      },
    ]
  return plan.groups.flatMap(({ name }): TrialMeasure[] => {
    const own = (of: (m: MemberFacts) => Relative | undefined) => (m: MemberFacts) =>
      m.group === name ? of(m) : undefined
    return [
      { name: `${name}: levels off at`, unit: 'µg/mL', of: own((m) => normalPlateau(m.facts, plan)) },
      { name: `${name}: half-life at 20 °C`, unit: 'min', of: own((m) => m.facts.halfLife20c) },
    ]
  })
}

export const chartsOf = (plan: TrialPlan, pooled: readonly MemberFacts[]): Chart[] =>
  measuresOf(plan).flatMap(({ name, unit, of }): Chart[] => {
    const points = pooled
      .flatMap((m) => {
        const found = of(m)
        const { id, opened_at } = m.facts.summary.head
        return found ? [{ batch: id, number: numberOf(m), at: opened_at, value: found.value }] : []
      })
      .sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
    const chart = controlChart(points.map((p) => p.value))
    if (!chart) return []
    const { centre, low, high, rangeHigh } = chart
    const outside = [...new Set([...chart.outside, ...chart.rangeOutside])].sort((a, b) => a - b)
    return [
      {
        ...{ name, unit, points, centre, low, high, range_high: rangeHigh },
        outside: outside.flatMap((i) => points[i]?.number ?? []),
        drift_from: chart.driftFrom === undefined ? null : (points[chart.driftFrom]?.number ?? null),
      },
    ]
  })
