import { at, inverseOf } from '../../server/fit/linear-algebra.ts'
import { Whitener } from '../../server/fit/noise-likelihood.ts'
import { findPhases } from '../../server/phase/find-phases.ts'
import type { NoiseRecipe } from '../server/fit/random.ts'
import { syntheticBatch } from '../server/phase/synthetic-batch.ts'
import { median } from './row.ts'
import { percent, printTable } from './table.ts'

export interface PhaseCase {
  readonly name: string
  readonly noise: NoiseRecipe
  readonly halfLifeMin: number
  readonly intervalS: number
  readonly lagS: number
  /** The probe's response has been measured and is on file. */
  readonly lagKnown?: boolean
  readonly decayMin: number
}

export interface PhaseCount {
  /** Batches found as one rise and one decay. */
  readonly right: number
  readonly onWithin: number
  readonly offWithin: number
  /** Stated 95 % intervals of flow-off that hold it, and the median of their halves. */
  readonly offHeld: number
  readonly statedOffS: number
  readonly medianOnS: number
  readonly medianOffS: number
  readonly allowedOnS: number
  readonly allowedOffS: number
  readonly boundS: number
}

const IDLE_S = 300
const RISE_S = 900
const PLATEAU = 20
const RISE_RATE = 0.6

const noises: Readonly<Record<string, NoiseRecipe>> = {
  white: { sd: 0.2, correlationS: 0, white: 1 },
  'AR(1) 20 s': { sd: 0.2, correlationS: 20, white: 0 },
  mixed: { sd: 0.2, correlationS: 20, white: 0.3 },
}

export const phaseCases: readonly PhaseCase[] = [
  ...Object.entries(noises).flatMap(([name, noise]) =>
    [30, 180].flatMap((halfLifeMin) =>
      [1, 30].map((intervalS) => ({
        ...{ name: `${halfLifeMin} min, ${name}, every ${intervalS} s`, noise, halfLifeMin, intervalS },
        ...{ lagS: 0, decayMin: 60 },
      })),
    ),
  ),
  ...[30, 180].flatMap((halfLifeMin) => [
    {
      ...{
        name: `${halfLifeMin} min, mixed, probe of 30 s`,
        noise: { sd: 0.2, correlationS: 20, white: 0.3 },
      },
      ...{ halfLifeMin, intervalS: 1, lagS: 30, decayMin: 60 },
    },
    {
      ...{
        name: `${halfLifeMin} min, mixed, probe known to be of 30 s`,
        noise: { sd: 0.2, correlationS: 20, white: 0.3 },
      },
      ...{ halfLifeMin, intervalS: 1, lagS: 30, lagKnown: true, decayMin: 60 },
    },
    {
      ...{ name: `${halfLifeMin} min, mixed, 3 h`, noise: { sd: 0.2, correlationS: 20, white: 0.3 } },
      ...{ halfLifeMin, intervalS: 1, lagS: 0, decayMin: 163 },
    },
  ]),
]

export const countPhases = (situation: PhaseCase, replicates: number): PhaseCount => {
  const boundS = flowOffBound(situation)
  const floor = Math.max(2 * situation.intervalS, situation.lagS, 5)
  const allowedOffS = Math.max(floor, 3 * boundS)
  const on: number[] = []
  const off: number[] = []
  const stated: number[] = []
  for (let seed = 1; seed <= replicates; seed++) {
    const { phases } = findPhases(samplesOf(situation, seed), [], {
      nowS: IDLE_S + RISE_S + 60 * situation.decayMin,
      ...(situation.lagKnown === true ? { probeLagS: situation.lagS } : {}),
    })
    if (phases.map((p) => p.kind).join() !== 'rise,decay') continue
    on.push(Math.abs((phases[0]?.startS ?? Number.NaN) - IDLE_S))
    off.push(Math.abs((phases[1]?.startS ?? Number.NaN) - IDLE_S - RISE_S))
    stated.push(phases[1]?.startWithinS ?? Number.NaN)
  }
  return {
    right: on.length,
    onWithin: on.filter((s) => s <= floor).length,
    offWithin: off.filter((s) => s <= allowedOffS).length,
    offHeld: off.filter((s, i) => s <= at(stated, i)).length,
    statedOffS: median(stated),
    medianOnS: median(on),
    medianOffS: median(off),
    allowedOnS: floor,
    allowedOffS,
    boundS,
  }
}

const samplesOf = ({ noise, halfLifeMin, intervalS, lagS, decayMin }: PhaseCase, seed: number) => {
  const { timesS, values } = syntheticBatch({
    stretches: [
      { kind: 'idle', seconds: IDLE_S },
      { kind: 'rise', seconds: RISE_S },
      { kind: 'decay', seconds: 60 * decayMin },
    ],
    ...{ plateau: PLATEAU, ratePerMin: RISE_RATE, halfLifeMin, lagS, noise, seed: 3571 * seed },
  })
  const isTaken = (_: number, i: number) => i % intervalS === 0
  return { timesS: timesS.filter(isTaken), values: values.filter(isTaken) }
}

/**
 * Cramér-Rao bound of the time of flow-off, s: standard error of an unbiased estimator that is told the noise and fits
 * plateau, flow-off and decay rate to a rise that has levelled off and a first-order decay.
 */
const flowOffBound = ({ noise, halfLifeMin, intervalS, decayMin }: PhaseCase): number => {
  const decayRate = Math.LN2 / halfLifeMin
  const levelFromMin = 6
  const n = Math.floor((60 * (RISE_S / 60 - levelFromMin + decayMin)) / intervalS)
  const times = Float64Array.from({ length: n }, (_, i) => (i * intervalS) / 60)
  const since = times.map((t) => t - (RISE_S / 60 - levelFromMin))
  const left = since.map((t) => (t < 0 ? 1 : Math.exp(-decayRate * t)))
  const byTime = since.map((t, i) => (t < 0 ? 0 : PLATEAU * decayRate * at(left, i)))
  const byRate = since.map((t, i) => (t < 0 ? 0 : -PLATEAU * t * at(left, i)))
  const whitener = new Whitener({
    times,
    counts: new Float64Array(n).fill(1),
    columns: [left, byTime, byRate],
  })
  const isWhite = noise.correlationS === 0
  const { sums } = whitener.whiten({
    correlationTime: isWhite ? 1e-4 : noise.correlationS / 60,
    whiteShare: isWhite ? 1 : noise.white,
  })
  const covariance = inverseOf(sums, 3)
  return covariance === undefined ? Number.NaN : 60 * noise.sd * Math.sqrt(at(covariance, 4))
}

/** Runs every case. About 5 ms a replicate. */
export const printPhaseTable = (replicates = 100): void => {
  console.log(`phases from the signal alone: ${replicates} batches a row, seeds 1 to ${replicates}`)
  const rows = phaseCases.map((situation) => {
    const c = countPhases(situation, replicates)
    return [
      situation.name,
      percent(c.right, replicates),
      percent(c.onWithin, replicates),
      `${c.medianOnS.toFixed(1)} of ${c.allowedOnS.toFixed(0)}`,
      percent(c.offWithin, replicates),
      `${c.medianOffS.toFixed(1)} of ${c.allowedOffS.toFixed(1)}`,
      c.boundS.toFixed(1),
      percent(c.offHeld, c.right),
      c.statedOffS.toFixed(1),
    ]
  })
  printTable(
    [
      'half-life',
      'found %',
      'on within %',
      'off by, s',
      'flow-off within %',
      'off by, s',
      'Cramér-Rao s',
      'interval held %',
      '± s',
    ],
    rows,
  )
}
