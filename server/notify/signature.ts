import { createHmac } from 'node:crypto'

/**
 * HMAC-SHA256 (RFC 2104, FIPS 180-4) of `TIMESTAMP.BODY` under the receiver's secret, hexadecimal.
 *
 * @param timestampS seconds since 1970, as sent in `Spargewatch-Timestamp`
 * @param body the very bytes of the body
 */
export const signatureOf = (secret: string, timestampS: number, body: string): string =>
  createHmac('sha256', secret).update(`${timestampS}.${body}`).digest('hex')
