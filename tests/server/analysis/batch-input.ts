import { timeUs } from '../../../ingest/units.ts'
import type { AnalysisEvent, AnalysisInput } from '../../../server/analysis/input.ts'
import { type Recipe, type Stretch, syntheticBatch } from '../phase/synthetic-batch.ts'

export const WHOLE: readonly Stretch[] = [
  { kind: 'idle', seconds: 60 },
  { kind: 'rise', seconds: 600 },
  { kind: 'purge', seconds: 60 },
  { kind: 'decay', seconds: 1800 },
]

export const WITHOUT_PURGE: readonly Stretch[] = [
  { kind: 'idle', seconds: 60 },
  { kind: 'rise', seconds: 600 },
  { kind: 'decay', seconds: 2400 },
]

/** 2026-03-04T14:00:00Z */
export const START_US = timeUs(Date.UTC(2026, 2, 4, 14) * 1000)

/** The entries a careful person would make for these stretches. */
export const entriesFor = (stretches: readonly Stretch[]): AnalysisEvent[] => {
  const events: AnalysisEvent[] = []
  let atS = 0
  let before: Stretch['kind'] = 'idle'
  for (const { kind, seconds } of stretches) {
    if (kind === 'rise') events.push({ kind: 'ozone-on', atS })
    if (before === 'rise' && kind !== 'rise') events.push({ kind: 'ozone-off', atS })
    if (kind === 'decay' && (before === 'rise' || before === 'purge')) events.push({ kind: 'flow-off', atS })
    atS += seconds
    before = kind
  }
  return events
}

/** An invented batch ready to analyse: entries made, 20 °C, quick probe known to be quick. */
export const batchInput = (recipe: Recipe, extra: Partial<AnalysisInput> = {}): AnalysisInput => {
  const { timesS, values } = syntheticBatch(recipe)
  return {
    startUs: START_US,
    timesS,
    potencyMgPerL: values,
    temperature: { timesS, celsius: timesS.map((s) => recipe.temperatureC?.(s) ?? 20) },
    events: entriesFor(recipe.stretches),
    nowS: timesS.length,
    probeLag: { tauS: recipe.lagS ?? 0, uS: 0.1 * (recipe.lagS ?? 0) },
    ...extra,
  }
}

/** The same without what was measured of the probe. */
export const withoutLag = ({ probeLag: _lag, ...input }: AnalysisInput): AnalysisInput => input
