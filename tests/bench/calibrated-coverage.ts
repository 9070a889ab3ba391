import { liveEstimate } from '../../server/analysis/live.ts'
import { batchInput, WITHOUT_PURGE } from '../server/analysis/batch-input.ts'
import { type NoiseRecipe, randomFrom } from '../server/fit/random.ts'
import { syntheticBatch } from '../server/phase/synthetic-batch.ts'
import { percent, printTable } from './table.ts'

/** The clinic's calibration as stated, and as it is drawn: standard uncertainty of slope and zero. */
const CALIBRATION = { uRelative: 0.05, uZeroMgPerL: 0.2 }
/** Seconds into a batch: after 3 and 9 min of a rise, 5 and 30 min of standing. */
export const LOOKS_S: readonly number[] = [240, 600, 960, 2460]

export interface CalibratedCount {
  readonly atS: number
  readonly given: number
  /** The whole interval, type A and type B together. */
  readonly held: number
  /** The same meter with no calibration uncertainty stated: type A alone. */
  readonly heldWithout: number
}

/** How often the live band holds the truth when the calibration itself is off by a random draw. */
export const countCalibrated = (noise: NoiseRecipe, replicates: number): CalibratedCount[] => {
  const counts = LOOKS_S.map((atS) => ({ atS, given: 0, held: 0, heldWithout: 0 }))
  for (let seed = 1; seed <= replicates; seed++) {
    const recipe = { stretches: WITHOUT_PURGE, noise, seed: 271 * seed }
    const { truth } = syntheticBatch(recipe)
    const { normal } = randomFrom(31 * seed)
    const [slope, zero] = [1 + CALIBRATION.uRelative * normal(), CALIBRATION.uZeroMgPerL * normal()]
    const input = batchInput(recipe)
    const seen = input.potencyMgPerL.map((v, i) => v + (slope - 1) * (truth[i] ?? 0) + zero)
    for (const count of counts) {
      const known = {
        ...input,
        timesS: input.timesS.subarray(0, count.atS),
        potencyMgPerL: seen.subarray(0, count.atS),
        events: input.events.filter((e) => e.atS <= count.atS),
        nowS: count.atS,
      }
      const value = truth[count.atS] ?? Number.NaN
      const isIn = ([low, high]: readonly [number, number]) => (low <= value && value <= high ? 1 : 0)
      const full = liveEstimate({ ...known, calibration: CALIBRATION }).potency
      const alone = liveEstimate(known).potency
      if (full.kind === 'none' || alone.kind === 'none') continue
      count.given++
      count.held += isIn(full.ci95)
      count.heldWithout += isIn(alone.ci95)
    }
  }
  return counts
}

/** Runs white, correlated and mixed noise. About 10 ms a replicate. */
export const printCalibratedCoverage = (replicates = 300): void => {
  console.log(
    `live band with the calibration drawn at random (slope 5 %, zero 0.2 mg/L): ${replicates} batches a row, seeds 1 to ${replicates}`,
  )
  const noises: Readonly<Record<string, NoiseRecipe>> = {
    white: { sd: 0.2, correlationS: 0, white: 1 },
    'AR(1) 20 s': { sd: 0.2, correlationS: 20, white: 0 },
    mixed: { sd: 0.2, correlationS: 20, white: 0.3 },
  }
  const rows = Object.entries(noises).flatMap(([name, noise]) =>
    countCalibrated(noise, replicates).map((c) => [
      `${name}, ${c.atS} s into the batch`,
      percent(c.held, c.given),
      percent(c.heldWithout, c.given),
    ]),
  )
  printTable(['situation', 'type A and B held %', 'type A alone %'], rows)
}
