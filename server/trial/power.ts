import type { TrialPower, TrialPowerWanted } from '../wire.ts'
import { decimal } from '../wording/format.ts'
import { powerOf } from './stats/batches-needed.ts'
import { noncentralTCdf } from './stats/noncentral-t.ts'
import { type Demand, toleranceFactor } from './stats/tolerance-bound.ts'

/** Of ten trials so many are to find what there is. Common practice, no source. */
export const POWER = 0.8

const COUNTS = [3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 40, 60]

/**
 * Chance that n batches show a planned prep time: the bound x̄ + k·s of the logarithms lies under ln(planned). With typical time
 * exp(μ) and spread σ, √n(L − x̄)/s is noncentral t with δ = √n(L − μ)/σ and n − 1 degrees of freedom, so the chance is
 * 1 − F(k√n). 0 to 1; n ≥ 2.
 */
export const chanceOfPrep = (
  n: number,
  { marginLog, sdLog }: { readonly marginLog: number; readonly sdLog: number },
  demand: Demand,
): number =>
  1 - noncentralTCdf(toleranceFactor(n, demand) * Math.sqrt(n), n - 1, (Math.sqrt(n) * marginLog) / sdLog)

/** How many batches, by the chance that the trial shows what is there, and what they cost. */
export const trialPower = (wanted: TrialPowerWanted): TrialPower => {
  const chance = wanted.kind === 'prep-time' ? prepChance(wanted) : pairChance(wanted)
  const groups = wanted.kind === 'prep-time' ? 1 : wanted.groups
  const rows: TrialPower['rows'] = []
  for (const batches of COUNTS) {
    const found = chance(batches)
    const inAll = batches * groups
    rows.push({
      ...{ batches, in_all: inAll, chance_percent: 100 * found },
      hours: wanted.minutes_each === undefined ? null : (inAll * wanted.minutes_each) / 60,
    })
    if (found >= ENOUGH) break
  }
  return {
    power_percent: 100 * POWER,
    needed: rows.find((r) => r.chance_percent >= 100 * POWER)?.batches ?? null,
    rows,
    basis: basisOf(wanted),
  }
}

/** More batches than this chance asks for are not listed. */
const ENOUGH = 0.99

const prepChance = (wanted: Extract<TrialPowerWanted, { kind: 'prep-time' }>) => {
  const demand = { coverage: wanted.coverage_percent / 100, confidence: wanted.confidence_percent / 100 }
  const effect = {
    marginLog: Math.log(wanted.prep_min / wanted.typical_min),
    sdLog: wanted.spread_percent / 100,
  }
  return (n: number) => chanceOfPrep(n, effect, demand)
}

const pairChance = (wanted: Extract<TrialPowerWanted, { kind: 'fluid-comparison' }>) => {
  const question = {
    ratio: 1 + wanted.margin_percent / 100,
    sdLog: wanted.spread_percent / 100,
    alpha: (1 - wanted.confidence_percent / 100) / comparisonsOf(wanted.groups),
  }
  return (n: number) => powerOf(n, question)
}

/** Every pair of groups in plateau and half-life. */
export const comparisonsOf = (groups: number): number => groups * (groups - 1)

const basisOf = (wanted: TrialPowerWanted): string =>
  wanted.kind === 'prep-time'
    ? `If a typical batch takes ${decimal(wanted.typical_min, 1)} min and batches spread by ${decimal(wanted.spread_percent, 0)} %: chance that the bound then lies within ${decimal(wanted.prep_min, 1)} min. The potency has to be held too, which this does not count.`
    : `If batches of one fluid spread by ${decimal(wanted.spread_percent, 0)} %: chance to find a difference as large as the margin of ${decimal(wanted.margin_percent, 0)} % in one pair, the error shared by all ${comparisonsOf(wanted.groups)} comparisons. To show that two are within the margin takes more.`
