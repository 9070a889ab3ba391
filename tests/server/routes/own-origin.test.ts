import { describe, expect, it } from 'vitest'
import { csvRow } from '../../../server/routes/csv.ts'
import { whyForeign } from '../../../server/routes/own-origin.ts'

describe('a request', () => {
  it.each([
    [{ host: 'localhost:7340' }],
    [{ host: '127.0.0.1:7340', origin: 'http://127.0.0.1:7340' }],
    [{ host: '[::1]:7340', origin: 'http://[::1]:7340' }],
  ])('from our own page is taken: %o', (headers) => {
    expect(whyForeign({ headers })).toBeUndefined()
  })

  it.each([
    [{ host: 'attacker.example:7340' }, /is not this machine/],
    [{}, /is not this machine/],
    [{ host: 'localhost:7340', origin: 'http://attacker.example' }, /not this program's own page/],
    [{ host: 'localhost:7340', origin: 'http://localhost:9999' }, /not this program's own page/],
    [{ host: 'localhost:7340', origin: 'null' }, /not this program's own page/],
  ])('from elsewhere is refused: %o', (headers, why) => {
    expect(whyForeign({ headers })).toMatch(why)
  })
})

describe('a CSV row', () => {
  it('quotes what RFC 4180 says to quote', () => {
    expect(csvRow(['a,b', 'say "x"', 'two\nlines', 1.5, null])).toBe(
      '"a,b","say ""x""","two\nlines",1.5,\r\n',
    )
  })

  it.each(['=1+1', '+1', '-1', '@x'])('never lets typed text run as a formula: %s', (text) => {
    expect(csvRow([text])).toBe(`'${text}\r\n`)
  })
})
