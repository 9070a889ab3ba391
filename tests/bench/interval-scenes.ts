import type { NoiseRecipe } from '../server/fit/random.ts'

/** A kind of noise and what else is wrong with the readings. */
export interface Trouble {
  readonly name: string
  readonly noise: NoiseRecipe
  readonly lagS?: number
  readonly spikes?: number
  readonly missing?: number
  readonly rounding?: number
  /** Standard uncertainty of the calibration, drawn anew for each batch; the full interval is then counted. */
  readonly calibration?: { readonly uRelative: number; readonly uZeroMgPerL: number }
}

const white: NoiseRecipe = { sd: 0.2, correlationS: 0, white: 1 }
const slow: NoiseRecipe = { sd: 0.2, correlationS: 20, white: 0 }
/** A slow part of 0.2 and a white part of 0.05 mg/L. */
const mixed: NoiseRecipe = {
  sd: Math.hypot(0.2, 0.05),
  correlationS: 20,
  white: 0.05 ** 2 / (0.2 ** 2 + 0.05 ** 2),
}
export const U_LAG_S = 3

export const TROUBLES: readonly Trouble[] = [
  { name: 'white', noise: white },
  { name: 'AR(1) 20 s', noise: slow },
  { name: 'AR(1) + white, rounded 0.01', noise: mixed, rounding: 0.01 },
  { name: 'AR(1), probe lag 30 ± 3 s', noise: slow, lagS: 30 },
  { name: 'AR(1), 2 % spikes', noise: slow, spikes: 0.02 },
  { name: 'AR(1), 10 % missing in gaps', noise: slow, missing: 0.1 },
]

/** Slope 5 %, zero 0.2 mg/L. */
export const CALIBRATED: readonly Trouble[] = TROUBLES.slice(0, 3).map((trouble) => ({
  ...trouble,
  calibration: { uRelative: 0.05, uZeroMgPerL: 0.2 },
}))

export interface Scene {
  readonly name: string
  readonly riseMin: number
  readonly riseRate: number
  /** Minutes of decay that are seen. */
  readonly decayMin: number
  readonly of: readonly Judged[]
  /** True: the scatter of this meter is known from its earlier batches, as it is after a clinic's first few. */
  readonly history?: boolean
}

const JUDGED = ['plateau', 'k', 't95', 'half-life'] as const
export type Judged = (typeof JUDGED)[number]

export const SCENES: readonly Scene[] = [
  { name: '20 min rise', riseMin: 20, riseRate: 0.3, decayMin: 40, of: ['plateau', 'k', 't95'] },
  { name: '40 min decay', riseMin: 20, riseRate: 0.3, decayMin: 40, of: ['half-life'] },
  ...[false, true].flatMap((history): Scene[] => {
    const known = history ? ', scatter known' : ''
    return [
      {
        name: `5 min rise${known}`,
        riseMin: 5,
        riseRate: 0.5,
        decayMin: 1,
        of: ['plateau', 'k', 't95'],
        history,
      },
      ...[3, 5, 10].map((decayMin) => ({
        name: `first ${decayMin} min of decay${known}`,
        riseMin: 20,
        riseRate: 0.3,
        decayMin,
        of: ['half-life' as const],
        history,
      })),
    ]
  }),
]
