import { describe, expect, it } from 'vitest'
import { type RegisterType, registerValue, type WordOrder } from '../../../ingest/reading/register-value.ts'

const wordsOf = (hex: string): number[] => {
  const bytes = Buffer.from(hex.replaceAll(' ', ''), 'hex')
  return Array.from({ length: bytes.length / 2 }, (_, i) => bytes.readUInt16BE(2 * i))
}
const value = (hex: string, type: RegisterType, order: WordOrder = 'ABCD') =>
  registerValue(wordsOf(hex), type, order)

describe('a number in registers', () => {
  // Python: struct.pack('>f', 23.4).hex() == '41bb3333'; struct.unpack of it is 23.399999618530273
  const ON_WIRE: readonly [WordOrder, string][] = [
    ['ABCD', '41 BB 33 33'],
    ['CDAB', '33 33 41 BB'],
    ['BADC', 'BB 41 33 33'],
    ['DCBA', '33 33 BB 41'],
  ]

  it.each(ON_WIRE)('as float32 23.4 is read in order %s from %s', (order, wire) => {
    expect(value(wire, 'float32', order)).toBe(23.399999618530273)
  })

  it.each([
    // Python: struct.unpack('>f', ...) of the swapped bytes
    ['33 33 41 BB', 4.173646672711584e-8],
    ['BB 41 33 33', -0.0029479980003088713],
    ['33 33 BB 41', 4.184699164966332e-8],
  ])(
    'read in the wrong order from %s is next to nothing, which the program must not take for zero',
    (wire, wrong) => {
      expect(value(wire, 'float32')).toBe(wrong)
    },
  )

  it.each([
    // Python: struct.pack('>f', x).hex()
    ['41 A4 00 00', 20.5],
    ['3F 80 00 00', 1],
    ['BF 00 00 00', -0.5],
  ])('as float32 from %s is %s', (wire, number) => {
    expect(value(wire, 'float32')).toBe(number)
  })

  it('as float32 that is not a number stays one, so that the reading can be a fault', () => {
    expect(value('7F C0 00 00', 'float32')).toBeNaN()
    expect(value('FF 80 00 00', 'float32')).toBe(Number.NEGATIVE_INFINITY)
  })

  it.each([
    // two's complement by definition
    ['FF FF', 'int16', -1],
    ['FF FF', 'uint16', 65_535],
    ['80 00', 'int16', -32_768],
    ['09 24', 'uint16', 2340],
    ['FF FF FF FE', 'int32', -2],
    ['FF FF FF FE', 'uint32', 4_294_967_294],
    ['00 01 00 00', 'int32', 65_536],
  ] as const)('%s as %s is %s', (wire, type, number) => {
    expect(value(wire, type)).toBe(number)
  })

  it.each([
    ['12 34 56 78', 'ABCD'],
    ['56 78 12 34', 'CDAB'],
    ['34 12 78 56', 'BADC'],
    ['78 56 34 12', 'DCBA'],
  ] as const)('as whole number is read from %s in order %s too', (wire, order) => {
    expect(value(wire, 'uint32', order)).toBe(0x12345678)
  })

  it('of one register has only its two bytes to swap', () => {
    expect(value('24 09', 'uint16', 'BADC')).toBe(2340)
    expect(value('24 09', 'uint16', 'DCBA')).toBe(2340)
    expect(value('09 24', 'uint16', 'CDAB')).toBe(2340)
  })
})
