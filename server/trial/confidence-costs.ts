import type { PrepTimeResult } from '../wire.ts'
import type { Relative } from './quantity.ts'
import { type Demand, logToleranceBound, toleranceFactor } from './stats/tolerance-bound.ts'
import type { PrepTimePlan } from './trial.ts'

export const demandOf = (plan: PrepTimePlan): Demand => ({
  coverage: plan.coverage_percent / 100,
  confidence: plan.confidence_percent / 100,
})

const CONFIDENCES = [80, 90, 95, 99]
const COUNTS = [5, 10, 20]

/** What the bound would be with the mean and spread seen, for other confidences and more batches. */
export const costsOf = (plan: PrepTimePlan, values: readonly Relative[]): PrepTimeResult['costs'] => {
  const n = values.length
  if (n < 2) return []
  const { sdLog, geometricMean } = logToleranceBound(
    values.map((v) => v.value),
    'upper',
    demandOf(plan),
  )
  const counts = [...new Set([n, ...COUNTS].filter((count) => count >= n))].sort((a, b) => a - b)
  return CONFIDENCES.flatMap((confidence_percent) =>
    counts.map((batches) => {
      const k = toleranceFactor(batches, { ...demandOf(plan), confidence: confidence_percent / 100 })
      return { confidence_percent, batches, minutes: geometricMean * Math.exp(k * sdLog) }
    }),
  )
}
