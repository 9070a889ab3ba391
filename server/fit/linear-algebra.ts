/**
 * Dense algebra for a handful of parameters. Symmetric p×p matrices are row-major Float64Arrays; tall matrices are
 * column-major, as the fits build them column by column.
 */

/** Lower Cholesky factor in place of the lower triangle; false when the matrix is not positive definite. */
export const choleskyInPlace = (matrix: Float64Array, p: number): boolean => {
  for (let j = 0; j < p; j++) {
    let diagonal = at(matrix, j * p + j)
    for (let k = 0; k < j; k++) diagonal -= at(matrix, j * p + k) ** 2
    if (!(diagonal > 0)) return false
    const root = Math.sqrt(diagonal)
    matrix[j * p + j] = root
    for (let i = j + 1; i < p; i++) {
      let sum = at(matrix, i * p + j)
      for (let k = 0; k < j; k++) sum -= at(matrix, i * p + k) * at(matrix, j * p + k)
      matrix[i * p + j] = sum / root
    }
  }
  return true
}

/** Solves L·Lᵀ·x = b in place of b, L from `choleskyInPlace`. */
export const choleskySolveInPlace = (lower: Float64Array, p: number, b: Float64Array): void => {
  for (let i = 0; i < p; i++) {
    let sum = at(b, i)
    for (let k = 0; k < i; k++) sum -= at(lower, i * p + k) * at(b, k)
    b[i] = sum / at(lower, i * p + i)
  }
  for (let i = p - 1; i >= 0; i--) {
    let sum = at(b, i)
    for (let k = i + 1; k < p; k++) sum -= at(lower, k * p + i) * at(b, k)
    b[i] = sum / at(lower, i * p + i)
  }
}

/** Inverse of a symmetric positive definite matrix, scaled to unit diagonal first; undefined when singular. */
export const inverseOf = (matrix: Float64Array, p: number): Float64Array | undefined => {
  const scale = Float64Array.from({ length: p }, (_, i) => 1 / Math.sqrt(at(matrix, i * p + i)))
  const lower = matrix.map((v, i) => v * at(scale, Math.floor(i / p)) * at(scale, i % p))
  if (!choleskyInPlace(lower, p)) return undefined
  const inverse = new Float64Array(p * p)
  for (let j = 0; j < p; j++) {
    const column = new Float64Array(p)
    column[j] = 1
    choleskySolveInPlace(lower, p, column)
    for (let i = 0; i < p; i++) inverse[i * p + j] = at(column, i) * at(scale, i) * at(scale, j)
  }
  return inverse
}

/** uᵀ·M·v for a p×p matrix. */
export const quadratic = (u: ArrayLike<number>, matrix: Float64Array, v: ArrayLike<number>): number => {
  const p = u.length
  let sum = 0
  for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) sum += at(u, i) * at(matrix, i * p + j) * at(v, j)
  return sum
}

/**
 * Householder QR of a column-major n×p matrix in place, applied to `rhs` as well. Afterwards the upper triangle holds
 * R and the first p entries of `rhs` hold Qᵀ·rhs. n ≥ p.
 */
export const qrInPlace = (columns: Float64Array, n: number, p: number, rhs: Float64Array): void => {
  for (let j = 0; j < p; j++) {
    const start = j * n
    let norm = 0
    for (let i = j; i < n; i++) norm = Math.hypot(norm, at(columns, start + i))
    if (norm === 0) continue
    const alpha = at(columns, start + j) > 0 ? -norm : norm
    const v = columns.slice(start + j, start + n)
    v[0] = at(v, 0) - alpha
    let vv = 0
    for (const x of v) vv += x * x
    for (let c = j; c < p; c++) reflect(columns, c * n + j, v, vv)
    reflect(rhs, j, v, vv)
  }
}

const reflect = (target: Float64Array, offset: number, v: Float64Array, vv: number): void => {
  let dot = 0
  for (let i = 0; i < v.length; i++) dot += at(v, i) * at(target, offset + i)
  const factor = (2 * dot) / vv
  for (let i = 0; i < v.length; i++) target[offset + i] = at(target, offset + i) - factor * at(v, i)
}

/** Solves R·x = b for the upper triangle of a column-major matrix with leading dimension n; undefined if singular. */
export const backSubstitute = (
  columns: Float64Array,
  n: number,
  p: number,
  b: Float64Array,
): Float64Array | undefined => {
  const x = new Float64Array(p)
  for (let i = p - 1; i >= 0; i--) {
    let sum = at(b, i)
    for (let k = i + 1; k < p; k++) sum -= at(columns, k * n + i) * at(x, k)
    const diagonal = at(columns, i * n + i)
    if (diagonal === 0 || !Number.isFinite(diagonal)) return undefined
    x[i] = sum / diagonal
  }
  return x
}

/** True when any value is not a number. */
export const hasGap = (values: Float64Array): boolean => {
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) return true
  return false
}

/** Element access that tells the type checker what the loops already guarantee. Not for the innermost loops. */
export const at = (values: ArrayLike<number>, i: number): number => values[i] as number
