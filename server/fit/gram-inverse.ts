import { at, backSubstitute, qrInPlace } from './linear-algebra.ts'

export const sumOfSquares = (values: Float64Array): number => {
  let sum = 0
  for (const v of values) sum += v * v
  return sum
}

/** (JᵀJ)⁻¹ = R⁻¹R⁻ᵀ from the QR of J, so that the condition number is not squared. */
export const gramInverse = (columns: Float64Array, n: number, p: number): Float64Array | undefined => {
  qrInPlace(columns, n, p, new Float64Array(n))
  const inverse = new Float64Array(p * p)
  const rows: Float64Array[] = []
  for (let j = 0; j < p; j++) {
    const unit = new Float64Array(p)
    unit[j] = 1
    const column = backSubstitute(columns, n, p, unit)
    if (column === undefined) return undefined
    rows.push(column)
  }
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++)
      for (const column of rows) inverse[a * p + b] = at(inverse, a * p + b) + at(column, a) * at(column, b)
  return inverse
}
