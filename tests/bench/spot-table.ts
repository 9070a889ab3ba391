import { analyseBatch } from '../../server/analysis/analyse-batch.ts'
import type { AnalysedDecay } from '../../server/analysis/phase-schema.ts'
import { START_US } from '../server/analysis/batch-input.ts'
import { randomFrom } from '../server/fit/random.ts'
import { percent, printTable } from './table.ts'

export interface SpotCase {
  readonly readings: number
  readonly uPercent: number
  readonly everyMin: number
  readonly halfLifeMin: number
}

export interface SpotCount {
  readonly replicates: number
  readonly intervals: number
  readonly bounds: number
  readonly refused: number
  /** Intervals, and bounds "at least", that hold the truth. */
  readonly heldIntervals: number
  readonly heldBounds: number
  /** Without an interval, but with words on what one more reading would give. */
  readonly advised: number
}

export const spotCases: readonly SpotCase[] = [20, 30, 60].flatMap((halfLifeMin) =>
  [5, 10].flatMap((everyMin) =>
    [5, 10].flatMap((uPercent) =>
      [1, 2, 3, 4, 6].map((readings) => ({ readings, uPercent, everyMin, halfLifeMin })),
    ),
  ),
)

/** A few readings of a standing flask of 20 mg/L, the first a minute after flow-off, errors as stated. */
export const spotDecay = (situation: SpotCase, seed: number): AnalysedDecay => {
  const { readings, uPercent, everyMin, halfLifeMin } = situation
  const { normal } = randomFrom(977 * seed + readings)
  const timesS = Float64Array.from({ length: readings }, (_, i) => 60 + 60 * everyMin * i)
  const report = analyseBatch({
    startUs: START_US,
    timesS,
    potencyMgPerL: timesS.map((s) => 20 * 2 ** (-s / 60 / halfLifeMin) * (1 + (uPercent / 100) * normal())),
    events: [
      { kind: 'ozone-on', atS: -600 },
      { kind: 'ozone-off', atS: 0 },
      { kind: 'flow-off', atS: 0 },
    ],
    nowS: 65 + 60 * everyMin * (readings - 1),
    readingUPercent: uPercent,
  })
  const decay = report.phases.find((p) => p.kind === 'decay')
  if (decay === undefined) throw new Error('no decay')
  return decay
}

export const countSpots = (situation: SpotCase, replicates: number): SpotCount => {
  const decays = Array.from({ length: replicates }, (_, i) => spotDecay(situation, i + 1))
  const truth = situation.halfLifeMin
  const told = decays.map((d) => d.half_life_min)
  const intervals = told.flatMap((h) => (h !== undefined && 'value' in h ? [h.ci95] : []))
  const bounds = told.flatMap((h) => (h !== undefined && 'at_least' in h ? [h.at_least] : []))
  return {
    replicates,
    intervals: intervals.length,
    bounds: bounds.length,
    refused: replicates - intervals.length - bounds.length,
    heldIntervals: intervals.filter(([low, high]) => low <= truth && truth <= high).length,
    heldBounds: bounds.filter((low) => low <= truth).length,
    advised: decays.filter((d) => d.notes.some((n) => n.startsWith('one more reading'))).length,
  }
}

/** Runs every case. About 0.1 ms a replicate. */
export const printSpotTable = (replicates = 1000): void => {
  console.log(`spot readings of 20 mg/L: ${replicates} batches a row, seeds 1 to ${replicates}`)
  const rows = spotCases.map((situation) => {
    const c = countSpots(situation, replicates)
    const { halfLifeMin, everyMin, uPercent, readings } = situation
    return [
      `${readings} of ${uPercent} % every ${everyMin} min, half-life ${halfLifeMin} min`,
      percent(c.intervals, replicates),
      percent(c.bounds, replicates),
      percent(c.refused, replicates),
      percent(c.heldIntervals + c.heldBounds, c.intervals + c.bounds),
      c.intervals < 20 ? '-' : percent(c.heldIntervals, c.intervals),
      percent(c.advised, c.bounds + c.refused),
    ]
  })
  const head = ['readings', 'interval %', 'bound %', 'refused %', 'held %', 'intervals held %', 'advised %']
  printTable(head, rows)
}
