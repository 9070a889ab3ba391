import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { Port, PortListener } from '../../../ingest/port/port.ts'
import { keepOpen, type PortState, waitBeforeRetry } from '../../../ingest/port/reconnect.ts'

beforeEach(() => void vi.useFakeTimers())
afterEach(() => void vi.useRealTimers())

/** A port that the test opens, feeds and closes by hand. */
const handPort = (refuse: () => boolean) => {
  const listeners: PortListener[] = []
  let closes = 0
  const port: Port = {
    name: 'hand',
    open: async (listener) => {
      if (refuse()) throw new Error('connection refused')
      listeners.push(listener)
      return {
        write: () => {},
        close: () => {
          closes += 1
        },
      }
    },
  }
  return { port, listeners, closes: () => closes }
}

const watch = (port: Port, silenceMs = 10_000) => {
  const states: PortState[] = []
  const data: string[] = []
  let cuts = 0
  const stop = keepOpen(port, {
    silenceMs,
    onState: (s) => states.push(s),
    onData: (chunk) => data.push(Buffer.from(chunk).toString()),
    onCut: () => {
      cuts += 1
    },
  })
  return { states, data, cuts: () => cuts, stop, names: () => states.map((s) => s.state) }
}

describe('a port kept open', () => {
  it('waits longer after each failure but never more than two seconds', () => {
    expect([1, 2, 3, 4, 5, 50].map(waitBeforeRetry)).toEqual([250, 500, 1000, 2000, 2000, 2000])
  })

  it('is tried again after a refusal, and says why it waits', async () => {
    let refuse = true
    const { port } = handPort(() => refuse)
    const seen = watch(port)
    await vi.advanceTimersByTimeAsync(0)
    expect(seen.states.at(-1)).toEqual({ state: 'waiting', why: 'connection refused', retryInMs: 250 })
    refuse = false
    await vi.advanceTimersByTimeAsync(250)
    expect(seen.names()).toEqual(['opening', 'waiting', 'opening', 'open'])
    seen.stop()
  })

  it('cuts the stream when the cable is pulled, and opens again by itself', async () => {
    const { port, listeners } = handPort(() => false)
    const seen = watch(port)
    await vi.advanceTimersByTimeAsync(0)
    listeners[0]?.data(Buffer.from('18.'))
    listeners[0]?.closed('the device went away')
    expect(seen.cuts()).toBe(1)
    await vi.advanceTimersByTimeAsync(250)
    listeners[1]?.data(Buffer.from('17.9\n'))
    expect(seen.data).toEqual(['18.', '17.9\n'])
    expect(seen.names().at(-1)).toBe('open')
    seen.stop()
  })

  it('treats a connection without a byte as dead, and a late word from it does not close its successor', async () => {
    const { port, listeners, closes } = handPort(() => false)
    const seen = watch(port, 5000)
    await vi.advanceTimersByTimeAsync(0)
    await vi.advanceTimersByTimeAsync(5000)
    expect(closes()).toBe(1)
    await vi.advanceTimersByTimeAsync(250)
    expect(seen.names().at(-1)).toBe('open')
    listeners[0]?.closed('socket closed')
    listeners[0]?.data(Buffer.from('old'))
    await vi.advanceTimersByTimeAsync(3000)
    expect(seen.names().at(-1)).toBe('open')
    expect(seen.data).toEqual([])
    seen.stop()
  })

  it('opens nothing more once it is stopped', async () => {
    const { port, listeners } = handPort(() => false)
    const seen = watch(port)
    await vi.advanceTimersByTimeAsync(0)
    seen.stop()
    listeners[0]?.closed('closed')
    await vi.advanceTimersByTimeAsync(10_000)
    expect(listeners).toHaveLength(1)
    expect(seen.names().at(-1)).toBe('stopped')
  })
})
