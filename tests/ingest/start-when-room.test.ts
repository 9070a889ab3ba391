import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { IngestError } from '../../ingest/errors.ts'
import { isDiskFull, startWhenRoom } from '../../ingest/start-when-room.ts'

const full = () => Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' })
const wrapped = () => new IngestError('store-failed', 'readings.db cannot be used', {}, full())

const create = () => {
  const said: string[] = []
  const log = {
    error: (_: unknown, text: string) => void said.push(text),
    info: (text: string) => void said.push(text),
  }
  return { said, log: log as unknown as Parameters<typeof startWhenRoom>[1] }
}

beforeEach(() => void vi.useFakeTimers())
afterEach(() => void vi.useRealTimers())

describe('a start that needs room on the disk', () => {
  it('is tried again until there is room, and says both', () => {
    const { said, log } = create()
    let room = false
    const ended = vi.fn()
    const stop = startWhenRoom(() => {
      if (!room) throw wrapped()
      return ended
    }, log)
    vi.advanceTimersByTime(5000)
    room = true
    vi.advanceTimersByTime(5000)
    expect(said).toEqual([
      expect.stringMatching(/disk is full.*NO READINGS/),
      expect.stringMatching(/disk is full.*NO READINGS/),
      expect.stringMatching(/room on the disk again/),
    ])
    stop()
    expect(ended).toHaveBeenCalledOnce()
  })

  it('is given up when the program ends meanwhile', () => {
    const { log } = create()
    const start = vi.fn(() => {
      throw full()
    })
    const stop = startWhenRoom(start, log)
    stop()
    vi.advanceTimersByTime(60_000)
    expect(start).toHaveBeenCalledOnce()
  })

  it('throws any other fault at once', () => {
    const start = () => {
      throw new IngestError('store-newer', 'written by a newer program')
    }
    expect(() => startWhenRoom(start, create().log)).toThrow('newer program')
    expect([isDiskFull(wrapped()), isDiskFull('full'), isDiskFull(new Error('x'))]).toEqual([
      true,
      false,
      false,
    ])
  })
})
