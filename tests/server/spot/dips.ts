import { type Dipped, type SpotState, spotState } from '../../../server/spot/settled.ts'
import { type NoiseRecipe, noiseOf } from '../fit/random.ts'

/** A first-order probe, dipped at 0 from fluid without ozone into one that falls with a half-life (min; none: it stands still). */
export interface Dip {
  readonly tauS: number
  readonly known?: { readonly tauS: number; readonly uS: number }
  readonly halfLifeMin?: number
  readonly noise?: NoiseRecipe
  readonly history?: boolean
  readonly start?: number
}

const QUIET: NoiseRecipe = { sd: 0.02, correlationS: 0, white: 1 }
export const STEP = 0.01
export const START = 20

export const fluidAt = (t: number, { halfLifeMin, start = START }: Dip): number =>
  halfLifeMin === undefined ? start : start * 2 ** (-t / (60 * halfLifeMin))

/** τ·dy/dt = C − y, y(0) = 0, in closed form. */
const shownAt = (t: number, dip: Dip): number => {
  const { tauS, halfLifeMin, start = START } = dip
  const k = halfLifeMin === undefined ? 0 : Math.LN2 / (60 * halfLifeMin)
  const a = start / (1 - k * tauS)
  return a * (Math.exp(-k * t) - Math.exp(-t / tauS))
}

export const readings = (dip: Dip, seconds: number, seed: number) => {
  const noise = noiseOf(seconds, dip.noise ?? QUIET, seed)
  const timesS = new Float64Array(seconds).map((_, i) => i + 0.5)
  const values = timesS.map((t, i) => Math.round((shownAt(t, dip) + (noise[i] ?? 0)) / STEP) * STEP)
  return { timesS, values }
}

export const lookAt = (dip: Dip, seed: number, nowS: number, more: Partial<Dipped> = {}): SpotState => {
  const { timesS, values } = readings(dip, nowS, seed)
  const { sd, correlationS, white } = dip.noise ?? QUIET
  return spotState({
    timesS,
    values,
    clipped: new Uint8Array(nowS),
    nowS,
    intervalS: 1,
    resolution: STEP,
    ...(dip.known ? { lag: dip.known } : {}),
    ...(dip.history ? { noise: { sd, correlationTime: correlationS / 60, whitePart: white } } : {}),
    ...more,
  })
}

/** Looks once a second until it has settled or gives up. */
export const wait = (dip: Dip, seed: number, mostS = 260): { state: SpotState; atS: number } => {
  for (let nowS = 10; nowS < mostS; nowS++) {
    const state = lookAt(dip, seed, nowS)
    if (state.kind !== 'settling') return { state, atS: nowS }
  }
  throw new Error('it neither settled nor gave up')
}

/** A response time stated with a twentieth of it as its uncertainty. */
export const known = (tauS: number) => ({ tauS, uS: 0.05 * tauS })

/** Parts given and held by ±1.96 u; mean error and mean uncertainty, mg/L. */
export interface DipCount {
  readonly given: number
  readonly held: number
  readonly bias: number
  readonly u: number
}

/** The fluid's own value at the moment a reading is dated to, against what the reading says of it: seeds 1 to `dips`. */
export const countDips = (dip: (seed: number) => Dip, dips: number): DipCount => {
  let [given, held, bias, u] = [0, 0, 0, 0]
  for (let seed = 1; seed <= dips; seed++) {
    const own = dip(seed)
    const { state } = wait(own, seed)
    if (state.kind !== 'settled') continue
    const off = state.value - fluidAt(state.atS, own)
    given++
    bias += off
    u += state.u
    if (Math.abs(off) <= 1.96 * state.u) held++
  }
  return { given: given / dips, held: held / given, bias: bias / given, u: u / given }
}
