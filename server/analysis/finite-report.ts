import type { AnalysedPhase } from './schema.ts'

const isFiniteField = (value: unknown): boolean => {
  if (typeof value === 'number') return Number.isFinite(value)
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return true
  return Object.values(value)
    .flat()
    .every((v) => typeof v !== 'number' || Number.isFinite(v))
}

const isQuantity = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

/**
 * The report without quantities that ran off to infinity, as a bound from almost no readings does: JSON cannot hold
 * them and nobody could use them. What is left decides the status.
 */
export const finiteReport = (report: AnalysedPhase): AnalysedPhase => {
  const fields = Object.entries(report)
  const kept = fields.filter(([, value]) => isFiniteField(value))
  if (kept.length === fields.length) return report
  const left = Object.fromEntries(kept) as AnalysedPhase
  return kept.some(([, value]) => isQuantity(value))
    ? { ...left, status: 'bounded' }
    : { ...left, status: 'refused', why: 'interval-too-wide' }
}
