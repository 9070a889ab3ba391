import type { BatchSummary } from '../wire.ts'
import type { Cell } from './shrunk-spread.ts'

/** One filling: what batches of one setting share beside the fluid. */
export interface Filling {
  readonly volumeMl: number
  readonly flowMlPerMin: number | null
}

/** Volumes and flows that near are one setting. Engineering judgement. */
const WITHIN = 0.2

/** Values of batches by setting, as logarithms, the wanted setting marked; values that are not positive are left out. */
export const settingCells = (
  wanted: Filling,
  batches: readonly { readonly filling: Filling; readonly value: number | null }[],
): Cell[] => {
  const cells: { readonly like: Filling; readonly own: boolean; readonly logs: number[] }[] = [
    { like: wanted, own: true, logs: [] },
  ]
  for (const { filling, value } of batches) {
    if (value === null || !(value > 0)) continue
    let cell = cells.find(({ like }) => isLike(filling, like))
    if (!cell) {
      cell = { like: filling, own: false, logs: [] }
      cells.push(cell)
    }
    cell.logs.push(Math.log(value))
  }
  return cells
}

export const fillingOf = ({ head }: Pick<BatchSummary, 'head'>): Filling => ({
  volumeMl: head.volume_ml,
  flowMlPerMin: head.flow_ml_per_min,
})

const isLike = (a: Filling, b: Filling): boolean =>
  near(a.volumeMl, b.volumeMl) &&
  (a.flowMlPerMin === null || b.flowMlPerMin === null
    ? a.flowMlPerMin === b.flowMlPerMin
    : near(a.flowMlPerMin, b.flowMlPerMin))

const near = (a: number, b: number): boolean => Math.abs(a / b - 1) <= WITHIN
