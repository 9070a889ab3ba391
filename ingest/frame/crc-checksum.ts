import { crc16 } from './crc16.ts'
import type { Checked } from './xor-checksum.ts'

const WITH_CHECKSUM = /^\$?([^$*]*)\*([0-9A-Fa-f]{4})$/

/**
 * A line that ends with `*` and CRC-16/MODBUS of what is before it, as four hexadecimal digits of the number, high
 * digit first (`123456789*4B37`). A `$` at the very beginning belongs to neither.
 */
export const checkCrc = (line: string): Checked => {
  const found = WITH_CHECKSUM.exec(line)
  if (!found) return { ok: false, why: 'checksum-missing' }
  const [, content = '', hex = ''] = found
  return crc16(Buffer.from(content, 'latin1')) === Number.parseInt(hex, 16)
    ? { ok: true, content }
    : { ok: false, why: 'checksum-wrong' }
}
