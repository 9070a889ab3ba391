import { describe, expect, it } from 'vitest'
import { crc16, withCrc16 } from '../../../ingest/frame/crc16.ts'

const bytesOf = (hex: string) => Array.from(Buffer.from(hex.replaceAll(' ', ''), 'hex'))

describe('CRC-16 of Modbus', () => {
  it.each([
    // the check value that catalogues of CRCs give for CRC-16/MODBUS, from memory; the same by the Python program below
    [Buffer.from('123456789').toString('hex'), 0x4b37],
    // the serial line guide's own example, from memory
    ['02 07', 0x1241],
    ['', 0xffff],
  ])('of %s is as published', (hex, value) => {
    expect(crc16(bytesOf(hex))).toBe(value)
  })

  it.each([
    // wire bytes worked out with an independent bitwise program (Python, polynomial 0x8005 unreflected, bits mirrored)
    ['01 03 00 00 00 0A', 'C5 CD'],
    ['01 03 00 00 00 02', 'C4 0B'],
    ['11 03 00 6B 00 03', '76 87'],
    ['01 04 02 FF FF', 'B8 80'],
    ['01 83 02', 'C0 F1'],
    ['01 03 04 41 BB 33 33', 'CA CF'],
  ])('of %s goes over the wire as %s, low byte first', (frame, crc) => {
    expect(Array.from(withCrc16(bytesOf(frame)))).toEqual(bytesOf(`${frame} ${crc}`))
    expect(crc16(bytesOf(`${frame} ${crc}`)), 'over a frame with its CRC').toBe(0)
  })
})
