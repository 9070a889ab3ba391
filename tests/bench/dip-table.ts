import type { NoiseRecipe } from '../server/fit/random.ts'
import { countDips, type Dip, known } from '../server/spot/dips.ts'
import { percent, printTable } from './table.ts'

const NOISES: Readonly<Record<string, NoiseRecipe>> = {
  'quiet 0.02': { sd: 0.02, correlationS: 0, white: 1 },
  'white 0.2': { sd: 0.2, correlationS: 0, white: 1 },
  'slow 0.2': { sd: 0.2, correlationS: 15, white: 0.3 },
}
const TAUS_S = [4, 9, 30]
const FLUIDS: readonly (number | undefined)[] = [undefined, 20, 8]

/** Response times known, known with an error of their own uncertainty, and not known. */
const PROBES: Readonly<Record<string, (tauS: number, seed: number) => Pick<Dip, 'tauS' | 'known'>>> = {
  'τ known': (tauS) => ({ tauS, known: known(tauS) }),
  'τ known, off by its u': (tauS, seed) => ({
    tauS: tauS * (seed % 2 === 0 ? 1.05 : 0.95),
    known: known(tauS),
  }),
  'τ not known': (tauS) => ({ tauS }),
}

/** One spot reading of a dipped probe at 20 mg/L for each kind of probe, fluid and noise. About 1 ms a dip. */
export const printDipTable = (dips = 200): void => {
  console.log(
    `spot readings of a dipped probe, 20 mg/L, last digit 0.01: ${dips} dips a row, seeds 1 to ${dips}`,
  )
  const rows = Object.entries(PROBES).flatMap(([probe, of]) =>
    TAUS_S.flatMap((tauS) =>
      FLUIDS.flatMap((halfLifeMin) =>
        Object.entries(NOISES).map(([name, noise]) => {
          const fluid = halfLifeMin === undefined ? {} : { halfLifeMin }
          const c = countDips((seed) => ({ ...of(tauS, seed), ...fluid, noise }), dips)
          return [
            `${probe}, ${tauS} s`,
            halfLifeMin === undefined ? 'still' : `half-life ${halfLifeMin} min`,
            name,
            percent(c.given, 1),
            percent(c.held, 1),
            c.bias.toFixed(3),
            c.u.toFixed(3),
          ]
        }),
      ),
    ),
  )
  printTable(['probe', 'fluid', 'noise', 'given %', '±1.96 u held %', 'mean error', 'mean u'], rows)
}
