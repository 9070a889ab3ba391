/**
 * Modbus RTU worked out here and not with the program's own code. The CRC is the unreflected polynomial 0x8005 over
 * mirrored bits; check: 01 03 00 00 00 02 ends with C4 0B.
 */
const mirror = (value: number, bits: number): number => {
  let out = 0
  for (let i = 0; i < bits; i++) if ((value >> i) & 1) out |= 1 << (bits - 1 - i)
  return out
}

const crcOf = (bytes: readonly number[]): number => {
  let crc = 0xffff
  for (const byte of bytes) {
    crc ^= mirror(byte, 8) << 8
    for (let i = 0; i < 8; i++) crc = (crc & 0x8000 ? (crc << 1) ^ 0x8005 : crc << 1) & 0xffff
  }
  return mirror(crc, 16)
}

/** A frame with its CRC, low byte first. */
export const sealed = (...bytes: number[]): Buffer => {
  const crc = crcOf(bytes)
  return Buffer.from([...bytes, crc & 0xff, crc >> 8])
}

/** The answer that carries these registers. */
export const answer = (unit: number, code: 3 | 4, registers: readonly number[]): Buffer =>
  sealed(unit, code, 2 * registers.length, ...registers.flatMap((r) => [r >> 8, r & 0xff]))

export const refusal = (unit: number, code: 3 | 4, exception: number): Buffer =>
  sealed(unit, code | 0x80, exception)

/** The two registers of a float32 in order ABCD. */
export const floatRegisters = (value: number): [number, number] => {
  const bytes = Buffer.alloc(4)
  bytes.writeFloatBE(value)
  return [bytes.readUInt16BE(0), bytes.readUInt16BE(2)]
}
