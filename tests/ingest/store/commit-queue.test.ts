import { describe, expect, it } from 'vitest'
import type { NewReading } from '../../../ingest/reading/reading.ts'
import { createCommitQueue } from '../../../ingest/store/commit-queue.ts'
import { timeUs } from '../../../ingest/units.ts'

const reading = (at: number): NewReading => ({
  series: { bench: 'A', instrument: 'm', channel: 'dissolved-ozone' },
  timeUs: timeUs(at),
  bootId: 'b',
  monoMs: at,
  raw: at,
  value: at,
  quality: 'good',
  movedUs: 0,
})

const create = (bound = 100) => {
  const written: number[] = []
  const told = { trouble: 0, lost: 0 }
  let full = false
  const queue = createCommitQueue({
    bound,
    append: (batch) => {
      if (full) throw new Error('database or disk is full')
      written.push(...batch.map((r) => r.timeUs))
      return { stored: [], repeated: 0, conflicting: [] }
    },
    onCommitted: () => {},
    onTrouble: () => {
      told.trouble += 1
    },
    onOverflow: (lost) => {
      told.lost += lost
    },
  })
  return {
    queue,
    written,
    told,
    setFull: (value: boolean) => {
      full = value
    },
  }
}

describe('readings waiting for their commit', () => {
  it('are written in order and then wait no more', () => {
    const { queue, written } = create()
    queue.add([reading(1), reading(2)])
    expect(queue.commit()).toBe(true)
    expect(written).toEqual([1, 2])
    expect(queue.waiting()).toBe(0)
  })

  it('are kept while the disk is full and written once there is space, none lost and none doubled', () => {
    const { queue, written, told, setFull } = create()
    setFull(true)
    queue.add([reading(1)])
    expect(queue.commit()).toBe(false)
    queue.add([reading(2)])
    expect(queue.commit()).toBe(false)
    setFull(false)
    expect(queue.commit()).toBe(true)
    expect(written).toEqual([1, 2])
    expect(told).toEqual({ trouble: 2, lost: 0 })
  })

  it('are given up oldest first at the stated bound, and that is said', () => {
    const { queue, written, told, setFull } = create(3)
    setFull(true)
    queue.add([1, 2, 3, 4, 5].map(reading))
    setFull(false)
    queue.commit()
    expect(written).toEqual([3, 4, 5])
    expect(told.lost).toBe(2)
  })
})
