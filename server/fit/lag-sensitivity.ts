import { blockMedians } from './block-medians.ts'
import type { CurveData } from './curve-fit.ts'
import { at } from './linear-algebra.ts'
import { laggedShape } from './rate-shape.ts'
import { fitSeparable } from './separable-fit.ts'
import { riseModel } from './separable-model.ts'

/** How far (plateau, start, ln rate) move for one standard uncertainty of the probe's time constant. */
export interface LagSensitivity {
  readonly shift: readonly [number, number, number]
}

/** Refits a thinned curve with τ a little above and below: exact enough for an uncertainty, and cheap. */
export const lagSensitivity = (
  data: CurveData,
  curve: { readonly rate: number },
  lag: { readonly tau: number; readonly u: number },
): LagSensitivity | undefined => {
  if (lag.u === 0) return undefined
  const blocks = blockMedians(data.times, data.values, 96)
  const refit = (tau: number) => {
    const fit = fitSeparable(riseModel(blocks.times, laggedShape(tau)), blocks.values, {
      start: curve.rate,
      lowest: curve.rate / 20,
      highest: curve.rate * 20,
      tolerance: 1e-7,
    })
    if (fit.kind === 'refused') return undefined
    return [at(fit.linear, 0), at(fit.linear, 0) + at(fit.linear, 1), Math.log(fit.rate)] as const
  }
  const low = refit(Math.max(lag.tau - lag.u, lag.tau / 10))
  const high = refit(lag.tau + lag.u)
  if (low === undefined || high === undefined) return undefined
  const widened = lag.u / (lag.tau + lag.u - Math.max(lag.tau - lag.u, lag.tau / 10))
  return {
    shift: [(high[0] - low[0]) * widened, (high[1] - low[1]) * widened, (high[2] - low[2]) * widened],
  }
}
