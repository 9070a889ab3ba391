import type { ActionInput } from '../../ingest/bench-simulator/action.ts'
import type { EntryData } from '../ledger/entry.ts'

type Settings = EntryData<'batch-opened'>
type Fluid = Settings['fluid']

/** Invented fluids: how long ozone lasts in them at 20 °C, in a calm flask with a covered surface. */
const HALF_LIFE_MIN_20: Readonly<Record<Fluid, number>> = {
  saline: 48,
  distilled: 75,
  filtered: 20,
  other: 30,
}

const PURGE = {
  'through-the-fluid': 'through-fluid',
  'tube-lifted-clear': 'lifted-clear',
  'bypass-to-destruct': 'bypass',
  none: 'none',
} as const

const simulatedFluid = (fluid: Fluid) => (fluid === 'other' ? 'filtered' : fluid)

export interface Pour {
  readonly temperatureC: number
  /** How this lot differs from the fluid's ordinary half-life; 1 = not. */
  readonly lotFactor: number
}

/** What a person at a simulated bench does, as the simulation understands it. Undefined: nothing moves. */
export const simulatedAction = (
  kind: string,
  settings: Settings,
  pour: Pour,
  drawnMl = 0,
): ActionInput | undefined => {
  switch (kind) {
    case 'batch-opened':
      return {
        do: 'fill',
        volumeMl: settings.volume_ml,
        fluid: simulatedFluid(settings.fluid),
        temperatureC: pour.temperatureC,
        fluidHalfLifeMin20: HALF_LIFE_MIN_20[settings.fluid] * pour.lotFactor,
      }
    case 'ozone-on':
      return {
        do: 'ozone-on',
        gasUgPerNml: settings.gas?.ug_per_ml ?? 60,
        flowMlPerMin: settings.flow_ml_per_min ?? 500,
      }
    case 'ozone-off':
      return { do: 'ozone-off', purge: PURGE[settings.purge] }
    case 'flow-off':
      return settings.purge === 'none' ? undefined : { do: 'flow-off' }
    case 'drawn-up':
      return { do: 'draw', ml: drawnMl }
    case 'probe-in':
    case 'probe-out':
      return { do: kind }
    case 'discarded':
      return { do: 'discard' }
    default:
      return undefined
  }
}
