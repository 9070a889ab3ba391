import { batchEvents } from './batch-script.ts'
import type { BenchScript } from './script.ts'

export interface LoadPlan {
  readonly benches: number
  readonly linesPerS: number
  /** Ports from here upwards; 0 = any free ones. */
  readonly firstPort: number
}

export interface LoadBench {
  readonly id: string
  readonly script: BenchScript
  readonly startEpochMs: number
  readonly intervalS: number
  readonly tcpPort: number
}

/** Longest shift between the batches of two benches, s. */
const SPREAD_S = 600

/** Many benches that bubble, purge, stand and start again, out of step with each other as real ones are. */
export const loadBenches = ({ benches, linesPerS, firstPort }: LoadPlan, nowMs: number): LoadBench[] =>
  Array.from({ length: benches }, (_, index) => ({
    id: `load-${String(index + 1).padStart(4, '0')}`,
    script: endlessBatches(index),
    startEpochMs: nowMs - ((index / benches) * 1000) / linesPerS,
    intervalS: 1 / linesPerS,
    tcpPort: firstPort === 0 ? 0 : firstPort + index,
  }))

const endlessBatches = (index: number): BenchScript => ({
  seed: index,
  repeatEveryS: 1500 + SPREAD_S,
  events: batchEvents({
    startS: (index * 37) % SPREAD_S,
    fill: { volumeMl: 250, fluid: 'saline', temperatureC: 8, fluidHalfLifeMin20: 40 },
    ozone: { gasUgPerNml: 60, flowMlPerMin: 500 },
    readyS: 20,
    bubblingS: 400,
    purgeS: 60,
    standingS: 1000,
    draws: [{ afterS: 300, ml: 100 }],
  }),
})
