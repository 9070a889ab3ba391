import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createRing } from '../../../ingest/tap/ring.ts'
import type { TapEvent } from '../../../ingest/tap/tap-event.ts'

const bytes = (hex: string, way: 'from-meter' | 'to-meter' = 'from-meter'): TapEvent => ({
  kind: 'bytes',
  at_ms: 0,
  way,
  hex,
})
const line = (text: string): TapEvent => ({ kind: 'line', at_ms: 0, mono_ms: 0, text, values: [], why: null })
const state = (state: 'open' | 'waiting'): TapEvent => ({ kind: 'state', state, why: null })

describe('the ring of a listener', () => {
  it('is empty at first and after it was read', () => {
    const ring = createRing()
    expect(ring.take()).toEqual([])
    ring.put(line('a'))
    expect(ring.take()).toEqual([line('a')])
    expect(ring.take()).toEqual([])
  })

  it('tells crumbs of bytes together, each direction by itself', () => {
    const ring = createRing()
    for (const each of [bytes('41'), bytes('42'), bytes('3f', 'to-meter'), bytes('43')]) ring.put(each)
    expect(ring.take()).toEqual([bytes('4142'), bytes('3f', 'to-meter'), bytes('43')])
  })

  it('gives up the oldest at its bounds and tells how much', () => {
    const ring = createRing({ events: 3, bytes: 4 })
    for (const text of ['1', '2', '3', '4', '5']) ring.put(line(text))
    expect(ring.take()).toEqual([{ kind: 'lost', frames: 2, bytes: 0 }, line('3'), line('4'), line('5')])
    ring.put(bytes('010203'))
    ring.put(line('x'))
    ring.put(bytes('0405'))
    expect(ring.take()).toEqual([{ kind: 'lost', frames: 0, bytes: 3 }, line('x'), bytes('0405')])
    expect(ring.take()).toEqual([])
  })

  it('keeps the newest state of the port through any flood', () => {
    const ring = createRing({ events: 2, bytes: 10 })
    ring.put(state('waiting'))
    ring.put(state('open'))
    for (let i = 0; i < 100; i++) ring.put(line(String(i)))
    expect(ring.take()).toEqual([
      { kind: 'lost', frames: 98, bytes: 0 },
      state('open'),
      line('98'),
      line('99'),
    ])
  })

  it('never holds more than its bounds, and loses nothing uncounted', () => {
    const piece = fc.oneof(
      fc.uint8Array({ minLength: 1, maxLength: 40 }).map((b) => bytes(Buffer.from(b).toString('hex'))),
      fc.string().map(line),
    )
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 60 }), (pieces) => {
        const ring = createRing({ events: 7, bytes: 64 })
        for (const each of pieces) ring.put(each)
        const told = ring.take()
        const sizes = (events: readonly TapEvent[]) => ({
          frames: events.filter((e) => e.kind === 'line').length,
          bytes: events.reduce((sum, e) => sum + (e.kind === 'bytes' ? e.hex.length / 2 : 0), 0),
        })
        const lost = told.find((e) => e.kind === 'lost')
        const kept = sizes(told)
        expect(told.length).toBeLessThanOrEqual(8)
        expect(kept.bytes).toBeLessThanOrEqual(64)
        const all = sizes(pieces)
        expect(kept.frames + (lost?.frames ?? 0)).toBe(all.frames)
        expect(kept.bytes + (lost?.bytes ?? 0)).toBe(all.bytes)
      }),
    )
  })
})
