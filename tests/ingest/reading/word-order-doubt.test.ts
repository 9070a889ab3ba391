import { describe, expect, it } from 'vitest'
import type { RegisterChannel } from '../../../ingest/reading/read-registers.ts'
import { createWordOrderDoubt } from '../../../ingest/reading/word-order-doubt.ts'
import { floatRegisters } from '../../support/modbus-bytes.ts'

const channel = (
  order: RegisterChannel['order'],
  type: RegisterChannel['type'] = 'float32',
): RegisterChannel => ({
  channel: 'dissolved-ozone',
  table: 'holding',
  register: 16,
  type,
  order,
  unit: 'mg/L',
  convert: (sent) => (type === 'float32' ? sent : sent / 100),
  limits: { range: [-2, 300] },
})
const swapped = (value: number): number[] => floatRegisters(value).reverse()
const last = (of: RegisterChannel, numbers: readonly (readonly number[])[]) => {
  const doubt = createWordOrderDoubt(of)
  return numbers.map(doubt).at(-1)
}
const falling = Array.from({ length: 20 }, (_, i) => 23.4 - i * 0.07)

describe('numbers that look like swapped words', () => {
  it('are told, with both values and the order that would make sense', () => {
    const said = last(channel('ABCD'), falling.map(swapped))
    expect(said).toContain('dissolved-ozone in register 16 looks like swapped words')
    expect(said).toContain('22.07 with CDAB')
    expect(said).toContain('check order in spargewatch.yaml')
  })

  it('are told of whole numbers too', () => {
    // 2340 hundredths: 00 00 09 24 sent with its words swapped
    const numbers = falling.map((value) => [Math.round(value * 100), 0])
    expect(last(channel('ABCD', 'int32'), numbers)).toContain('with CDAB')
  })

  it('are not suspected when the order is right, even close to zero or when a single one is odd', () => {
    expect(last(channel('CDAB'), falling.map(swapped))).toBeUndefined()
    expect(
      last(
        channel('ABCD'),
        falling.map((v) => floatRegisters((v - 22.5) / 100)),
      ),
    ).toBeUndefined()
    expect(last(channel('ABCD'), [...falling.map(floatRegisters), floatRegisters(1e30)])).toBeUndefined()
    expect(
      last(
        channel('ABCD'),
        Array.from({ length: 20 }, () => [0, 0]),
      ),
    ).toBeUndefined()
  })

  it('are not suspected after one odd number, the first there is', () => {
    expect(last(channel('ABCD'), [swapped(23.4)])).toBeUndefined()
    expect(last(channel('ABCD'), falling.slice(0, 4).map(swapped))).toBeUndefined()
    expect(last(channel('ABCD'), falling.slice(0, 5).map(swapped))).toBeDefined()
  })

  it('are not blamed on the order when no other order makes sense of them', () => {
    expect(
      last(
        channel('ABCD'),
        falling.map((v) => floatRegisters(v * 1e10)),
      ),
    ).toBeUndefined()
  })

  it('are forgotten once the numbers make sense again', () => {
    const right = Array.from({ length: 20 }, () => floatRegisters(20))
    expect(last(channel('ABCD'), [...falling.map(swapped), ...right])).toBeUndefined()
  })
})
