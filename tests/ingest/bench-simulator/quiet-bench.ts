import type { ActionInput } from '../../../ingest/bench-simulator/action.ts'
import type { BenchSettingsInput } from '../../../ingest/bench-simulator/settings.ts'

/** Instruments without lag, noise or rounding; fluid that keeps its temperature; a covered flask. */
export const QUIET = {
  flask: { surfaceTransferMPerS: 0, transferTheta: 1, warmingMin: 1e9 },
  meter: {
    lagS: 0,
    whiteNoiseMgPerL: 0,
    slowNoiseMgPerL: 0,
    resolutionMgPerL: 0,
    lowestMgPerL: -100,
    fullScaleMgPerL: 1000,
  },
  thermometer: { lagS: 0, noiseC: 0, resolutionC: 0 },
} satisfies BenchSettingsInput

export const NO_DECAY_MIN = 1e12

type FillInput = Extract<ActionInput, { do: 'fill' }>

export const fill = (changes: Partial<FillInput> = {}): FillInput => ({
  do: 'fill',
  volumeMl: 250,
  fluid: 'distilled',
  temperatureC: 20,
  fluidHalfLifeMin20: NO_DECAY_MIN,
  ...changes,
})

export const ozoneOn = (gasUgPerNml = 60, flowMlPerMin = 500): ActionInput => ({
  do: 'ozone-on',
  gasUgPerNml,
  flowMlPerMin,
})
