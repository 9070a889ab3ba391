import { describe, expect, it } from 'vitest'
import { runOrder } from '../../../server/trial/run-order.ts'

describe('the run order', () => {
  const fluids = ['saline', 'distilled', 'filtered']

  it('is the one anybody can work out from the seed', () => {
    // python3: sorted(fluids, key=lambda x: hashlib.sha256(f'2026-03:{block}:{x}'.encode()).hexdigest()), blocks 1 and 2
    expect(runOrder('2026-03', fluids, 2, 1).map((r) => r.what)).toEqual([
      'distilled',
      'filtered',
      'saline',
      'saline',
      'distilled',
      'filtered',
    ])
  })

  it('holds each thing once in a block, and deals blocks out to the days', () => {
    const order = runOrder('x', fluids, 5, 3)
    expect(order.map((r) => r.run)).toEqual(Array.from({ length: 15 }, (_, i) => i + 1))
    for (const fluid of fluids) expect(order.filter((r) => r.what === fluid)).toHaveLength(5)
    expect([1, 2, 3].map((day) => order.filter((r) => r.day === day).length)).toEqual([6, 6, 3])
  })

  it('is another for another seed', () => {
    const of = (seed: string) => runOrder(seed, fluids, 6, 3).map((r) => r.what)
    expect(of('a')).not.toEqual(of('b'))
    expect(of('a')).toEqual(of('a'))
  })
})
