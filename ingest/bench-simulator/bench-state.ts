import type { DecayLaw } from './decay.ts'
import type { BenchSettings } from './settings.ts'

/** What changes smoothly, integrated together. Plain numbers, since rates of change share the shape. */
export interface Levels {
  readonly dissolvedMgPerL: number
  readonly fluidC: number
  /** What the ozone probe has caught up with, before gain, zero and noise. */
  readonly probeMgPerL: number
  readonly thermometerC: number
  readonly roomMgPerM3: number
}

export type Flask =
  | { readonly kind: 'empty' }
  | {
      readonly kind: 'filled'
      readonly volumeMl: number
      readonly saltMolPerL: number
      readonly decay: DecayLaw
    }

/** Where the gas goes. Only `through-fluid` touches the fluid. */
export type Gas =
  | { readonly kind: 'off' }
  | { readonly kind: 'ozone'; readonly gasUgPerNml: number; readonly flowMlPerMin: number }
  | {
      readonly kind: 'oxygen'
      readonly flowMlPerMin: number
      readonly path: 'through-fluid' | 'lifted-clear' | 'bypass'
    }

export interface BenchState {
  readonly levels: Levels
  readonly flask: Flask
  readonly gas: Gas
  readonly probe: 'in' | 'out'
  readonly room: BenchSettings['room']
}

/** A cleaned bench before work: flask empty, probe in its place in it, everything at room temperature. */
export const emptyBench = ({ room }: BenchSettings): BenchState => ({
  levels: {
    dissolvedMgPerL: 0,
    fluidC: room.temperatureC,
    probeMgPerL: 0,
    thermometerC: room.temperatureC,
    roomMgPerM3: 0,
  },
  flask: { kind: 'empty' },
  gas: { kind: 'off' },
  probe: 'in',
  room,
})

export const bubblesThroughFluid = ({ flask, gas }: BenchState): boolean =>
  flask.kind === 'filled' && (gas.kind === 'ozone' || (gas.kind === 'oxygen' && gas.path === 'through-fluid'))

export const probeInFluid = ({ flask, probe }: BenchState): boolean =>
  flask.kind === 'filled' && probe === 'in'
