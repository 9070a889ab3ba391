import { describe, expect, it } from 'vitest'
import { Column } from '../../../server/live/column.ts'

const filled = (count: number): Column => {
  const column = new Column(4)
  for (let i = 0; i < count; i++) column.push(i)
  return column
}

describe('a column of numbers', () => {
  it('has no last number while it is empty', () => {
    expect([filled(0).length, filled(0).last(), filled(0).view().length]).toEqual([0, undefined, 0])
  })

  it.each([1, 4, 5, 7, 1000])('holds all of %i numbers in order, however often it had to grow', (count) => {
    expect([...filled(count).view()]).toEqual(Array.from({ length: count }, (_, i) => i))
    expect(filled(count).last()).toBe(count - 1)
  })

  it('lets its oldest go and goes on behind what is left', () => {
    const column = filled(10)
    column.dropFirst(7)
    column.push(10)
    expect([...column.view()]).toEqual([7, 8, 9, 10])
  })
})
