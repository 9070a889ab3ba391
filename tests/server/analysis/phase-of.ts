import { analyseBatch } from '../../../server/analysis/analyse-batch.ts'
import type { AnalysisInput } from '../../../server/analysis/input.ts'
import type { AnalysedDecay, AnalysedRise, Quantity } from '../../../server/analysis/schema.ts'

export const riseOf = (input: AnalysisInput): AnalysedRise => {
  const rise = analyseBatch(input).phases.find((p) => p.kind === 'rise')
  if (rise === undefined) throw new Error('no rise')
  return rise
}

export const decayOf = (input: AnalysisInput): AnalysedDecay => {
  const decay = analyseBatch(input).phases.find((p) => p.kind === 'decay')
  if (decay === undefined) throw new Error('no decay')
  return decay
}

export const value = (quantity: Quantity | undefined): number =>
  quantity !== undefined && 'value' in quantity ? quantity.value : Number.NaN

export const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length

export const QUIET = { sd: 0.03, correlationS: 5, white: 0.5 }
