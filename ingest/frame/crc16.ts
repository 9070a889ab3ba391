/**
 * CRC-16/MODBUS: reflected polynomial 0xA001, start 0xFFFF, no final exclusive-or. On the wire of Modbus RTU the low
 * byte comes first; over a frame with its CRC the result is 0.
 * Source: Modbus over serial line, specification and implementation guide V1.02, 6.2.2.
 */
export const crc16 = (bytes: Iterable<number>): number => {
  let crc = START
  for (const byte of bytes) crc = crc16Next(crc, byte)
  return crc
}

export const START = 0xffff

/** One byte further, for a sum that is kept while bytes arrive. */
export const crc16Next = (crc: number, byte: number): number => {
  let next = crc ^ byte
  for (let bit = 0; bit < 8; bit++) next = next & 1 ? (next >> 1) ^ 0xa001 : next >> 1
  return next
}

/** Low byte first, as on the wire. */
export const withCrc16 = (bytes: readonly number[]): Uint8Array => {
  const crc = crc16(bytes)
  return Uint8Array.from([...bytes, crc & 0xff, crc >> 8])
}
