import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { yLimits, yTicks } from '../../web/charts/limits.ts'
import { markRows } from '../../web/charts/mark-rows.ts'

const points = (...ys: number[]) => ys.map((y, x) => ({ x, y }))

describe('the y axis', () => {
  it('begins at 0, also when an empty flask reads a little under it', () => {
    expect(yLimits(points(0.1, 18), []).y[0]).toBe(0)
    expect(yLimits(points(-0.4, 18), []).y[0]).toBe(0)
    expect(yLimits([], []).y[0]).toBe(0)
  })

  it('begins at the whole unit under a reading that lies clearly below 0', () => {
    expect(yLimits(points(-1.6, 18), []).y[0]).toBe(-2)
    expect(yTicks(yLimits(points(-1.6, 18), []))).toEqual([-2, 0, 5, 10, 15, 20])
    expect(yTicks(yLimits(points(-1.2, 18), []))).toEqual([-2, 0, 5, 10, 15, 20])
  })

  it('ends at a grid line over everything that is drawn, whatever its size', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 500, noNaN: true }), (most) => {
        const limits = yLimits(points(0), [points(most)])
        expect(limits.y[1]).toBeGreaterThanOrEqual(most)
        expect(yTicks(limits).at(-1)).toBeCloseTo(limits.y[1], 9)
        expect(yTicks(limits).length).toBeLessThanOrEqual(8)
      }),
    )
  })
})

describe('words of events over the drawing', () => {
  it('puts words that have room into the lowest row', () => {
    expect(
      markRows([
        { x: 0, width: 50 },
        { x: 100, width: 50 },
      ]),
    ).toEqual([0, 0])
    expect(markRows([])).toEqual([])
  })

  it('lifts the earlier of two that would run into each other', () => {
    expect(
      markRows([
        { x: 100, width: 50 },
        { x: 110, width: 50 },
      ]),
    ).toEqual([1, 0])
    expect(
      markRows([
        { x: 100, width: 50 },
        { x: 100, width: 50 },
      ]),
    ).toEqual([1, 0])
  })

  it('never lets words overlap, nor a line run through a word', () => {
    const mark = fc.record({ x: fc.integer({ min: 0, max: 300 }), width: fc.integer({ min: 20, max: 120 }) })
    fc.assert(
      fc.property(fc.array(mark, { maxLength: 8 }), (marks) => {
        const rows = markRows(marks)
        const own = marks.map((m, i) => ({ ...m, row: rows[i] ?? 0 }))
        for (const a of own)
          for (const b of own) {
            if (a === b) continue
            const inside = a.x > b.x && a.x < b.x + b.width
            expect(inside && a.row >= b.row, JSON.stringify([a, b])).toBe(false)
          }
      }),
    )
  })
})
