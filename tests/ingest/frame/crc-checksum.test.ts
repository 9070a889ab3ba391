import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { checkCrc } from '../../../ingest/frame/crc-checksum.ts'
import { createLineFramer } from '../../../ingest/frame/line-framer.ts'

// Python: CRC-16/MODBUS of the text between $ and *, polynomial 0x8005 over mirrored bits, gives 0xd10c
const LINE = '$SPGW,000123,23.40,ugml,5.12,C*D10C'

describe('a line with CRC-16/MODBUS', () => {
  it('is taken when the CRC is that of the text before the star, high digit first', () => {
    expect(checkCrc('123456789*4B37')).toEqual({ ok: true, content: '123456789' })
    expect(checkCrc(LINE)).toEqual({ ok: true, content: 'SPGW,000123,23.40,ugml,5.12,C' })
  })

  it('is told apart from one without and one with a wrong CRC', () => {
    expect(checkCrc('123456789')).toEqual({ ok: false, why: 'checksum-missing' })
    expect(checkCrc('123456789*374B')).toEqual({ ok: false, why: 'checksum-wrong' })
    expect(checkCrc('123456789*4B3')).toEqual({ ok: false, why: 'checksum-missing' })
  })

  it('never passes with one flipped bit and other content', () => {
    fc.assert(
      fc.property(fc.nat(LINE.length * 8 - 1), (bit) => {
        const bytes = Buffer.from(`${LINE}\n`, 'latin1')
        bytes[bit >> 3]! ^= 1 << (bit & 7)
        const framer = createLineFramer({
          delimiter: '\n',
          maxBytes: 64,
          checksum: 'crc16',
          startsInSync: true,
        })
        // upper and lower case of a hexadecimal digit mean the same checksum: the content is then untouched
        for (const frame of framer.push(bytes))
          if (frame.kind === 'line') expect(frame.text).toBe('SPGW,000123,23.40,ugml,5.12,C')
      }),
      { numRuns: 400 },
    )
  })
})
