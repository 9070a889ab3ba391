import type { LineWanted, ReferenceWanted } from '../../server/wire.ts'
import { numberTyped, refused, type Typed } from './typed.ts'

/** One reference point as typed, and the sample its reference value was taken from. */
export interface PointText {
  readonly reference: string
  readonly u_reference: string
  readonly shown: string
  readonly u_shown: string
  readonly taken?: Taken
}

/** What a sample filled in: it belongs to the point only while that still stands there. */
interface Taken {
  readonly sample: ReferenceWanted
  readonly reference: string
  readonly u_reference: string
}

export const EMPTY_POINT: PointText = { reference: '', u_reference: '', shown: '', u_shown: '' }

/** The points to work slope and zero out from. A row left wholly empty is no point. */
export const pointsTyped = (rows: readonly PointText[]): Typed<LineWanted['points']> => {
  const used = rows.filter((row) => cellsOf(row).some((cell) => cell.trim() !== ''))
  if (used.length === 0) return refused('Type at least one reference value and what the meter showed.')
  const points: LineWanted['points'] = []
  for (const [i, row] of used.entries()) {
    const [reference, u_reference, shown, u_shown] = cellsOf(row).map(numberTyped)
    if (reference == null || u_reference == null || shown == null || u_shown == null)
      return refused(`Point ${i + 1} needs four numbers: reference, shown, and the uncertainty of each.`)
    if (u_reference < 0 || u_shown < 0) return refused(`Point ${i + 1}: an uncertainty is never below 0.`)
    const sample = sampleOf(row)
    points.push({ reference, u_reference, shown, u_shown, ...(sample ? { sample } : {}) })
  }
  return { kind: 'data', data: points }
}

const cellsOf = (row: PointText): string[] => [row.reference, row.u_reference, row.shown, row.u_shown]

/** Undefined once the value was typed over. */
export const sampleOf = ({ taken, reference, u_reference }: PointText): ReferenceWanted | undefined =>
  taken?.reference === reference && taken.u_reference === u_reference ? taken.sample : undefined
