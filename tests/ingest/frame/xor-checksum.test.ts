import { describe, expect, it } from 'vitest'
import { checkXor, xorOf } from '../../../ingest/frame/xor-checksum.ts'

describe('the NMEA 0183 line checksum', () => {
  it.each([
    // the two sentences used as examples in the documentation of swiftnav's NMEA decoder (docs.rs)
    ['GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,', 0x47],
    ['GPGLL,5057.970,N,00146.110,E,142451,A', 0x27],
    // a receiver's sentence printed in a public article (csdn 107082756)
    ['GNGLL,2239.37849,N,11400.75600,E,123254.00,A,A', 0x7f],
    // computed by hand for this line format
    ['SPGW,000123,23.40,ugml,5.12,C', 0x5c],
  ])('of %s is as published', (content, sum) => {
    expect(xorOf(content)).toBe(sum)
    expect(checkXor(`$${content}*${sum.toString(16).padStart(2, '0')}`)).toEqual({ ok: true, content })
  })

  it('is missed when it is not there and told apart from a wrong one', () => {
    expect(checkXor('$SPGW,1')).toEqual({ ok: false, why: 'checksum-missing' })
    expect(checkXor('$SPGW,1*00')).toEqual({ ok: false, why: 'checksum-wrong' })
  })
})
