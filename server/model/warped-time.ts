/** Fluid temperature over time: seconds since the start of the batch, °C. Times increase. */
export interface TemperatureCourse {
  readonly timesS: Float64Array
  readonly celsius: Float64Array
}

/** Temperature at a time, on straight lines between readings; before the first and after the last, that reading. */
export const temperatureAt = (course: TemperatureCourse, seconds: number): number => {
  const { timesS, celsius: values } = course
  let low = 0
  let high = timesS.length - 1
  if (high < 0) return Number.NaN
  if (seconds <= (timesS[0] as number)) return values[0] as number
  if (seconds >= (timesS[high] as number)) return values[high] as number
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((timesS[middle] as number) <= seconds) low = middle
    else high = middle
  }
  const part = (seconds - (timesS[low] as number)) / ((timesS[high] as number) - (timesS[low] as number))
  return (values[low] as number) + part * ((values[high] as number) - (values[low] as number))
}
