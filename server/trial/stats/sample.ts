/** Size, mean and standard deviation (n − 1) of a sample. Needs two values. */
export interface Sample {
  readonly n: number
  readonly mean: number
  readonly sd: number
}

export const sampleOf = (values: readonly number[]): Sample => {
  const n = values.length
  if (n < 2) throw new RangeError(`a sample needs at least 2 values, got ${n}`)
  const mean = values.reduce((a, b) => a + b, 0) / n
  const sd = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (n - 1))
  return { n, mean, sd }
}

/** Logarithms of values that have to be positive: times, concentrations, half-lives. */
export const logsOf = (values: readonly number[]): number[] =>
  values.map((value) => {
    if (!(value > 0)) throw new RangeError(`the log scale needs positive values, got ${value}`)
    return Math.log(value)
  })
