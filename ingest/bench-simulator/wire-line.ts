import type { SimulatedSample } from './bench-simulator.ts'

const SEQUENCE_COUNT = 1_000_000

/**
 * The simulated meter's line: sequence (six digits, starts again after 999999), dissolved ozone in µg/mL, fluid
 * temperature in °C and, with a room monitor, room ozone in ppm, as value and unit in turn. Framed as in NMEA 0183:
 * `$`, the text, `*`, and the XOR of the text as two upper-case hexadecimal digits.
 */
export const wireLine = (sample: SimulatedSample, sequence: number): string => {
  const digits = String(sequence % SEQUENCE_COUNT).padStart(6, '0')
  const room = sample.roomOzonePpm === undefined ? [] : [twoDecimals(sample.roomOzonePpm), 'ppm']
  const pairs = [twoDecimals(sample.meterMgPerL), 'ugml', twoDecimals(sample.thermometerC), 'C', ...room]
  const text = ['SPGW', digits, ...pairs].join(',')
  return `$${text}*${checksum(text)}\r\n`
}

/** A display has no negative zero. */
const twoDecimals = (value: number): string => {
  const text = value.toFixed(2)
  return text === '-0.00' ? '0.00' : text
}

const checksum = (text: string): string => {
  let xor = 0
  for (const byte of Buffer.from(text, 'latin1')) xor ^= byte
  return xor.toString(16).toUpperCase().padStart(2, '0')
}
