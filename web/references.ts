import type { BatchSummary } from '../server/wire.ts'

/** The references that batches with a plateau were measured against; more than one: not to be compared as they are. */
export const differentReferences = (
  rows: readonly Pick<BatchSummary, 'plateau_mg_l' | 'measured_against'>[],
): string[] =>
  [...new Set(rows.filter((r) => r.plateau_mg_l !== null).map((r) => r.measured_against.join(', ')))].sort()
