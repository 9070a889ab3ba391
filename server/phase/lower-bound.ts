/** Index of the first time at or after `t`. */
export const lowerBound = (times: Float64Array | Int32Array, t: number): number => {
  let low = 0
  let high = times.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((times[middle] as number) < t) low = middle + 1
    else high = middle
  }
  return low
}
