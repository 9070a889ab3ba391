import { describe, expect, it } from 'vitest'
import type { Broken } from '../../../ingest/forward/deliver.ts'
import { createSending } from '../../../ingest/forward/sending.ts'

const LOG = { info: () => {}, warn: () => {}, error: () => {} }

/** Sends one thing to a place that answers so each time; how long it waited before each next try, ms. */
const waitsBefore = async (outcome: Broken, tries: number): Promise<readonly number[]> => {
  const waits: number[] = []
  const stop = new AbortController()
  const sending = createSending<string>({
    what: 'things',
    atOnce: 10,
    begin: () => {},
    next: () => ['one'],
    send: async () => ({ kind: 'broken-off', outcome }),
    report: () => {},
    log: LOG,
    wait: async (ms) => {
      waits.push(ms)
      if (waits.length === tries) stop.abort()
    },
  })
  await sending.run(stop.signal)
  return waits
}

describe('sending to a place that is away', () => {
  it('tries again after pauses that grow to a quarter of a minute, however long it is away', async () => {
    const waits = await waitsBefore({ kind: 'unreachable', why: 'nobody there', retryAfterMs: 0 }, 40)
    expect(waits[0]).toBeLessThanOrEqual(500)
    expect(Math.max(...waits)).toBeLessThanOrEqual(15_000)
    expect(Math.min(...waits.slice(6))).toBeGreaterThanOrEqual(12_000)
  })

  it('waits for as long as the place asks for, and half a minute where the settings are wrong', async () => {
    const asked = await waitsBefore({ kind: 'unreachable', why: 'busy', retryAfterMs: 90_000 }, 1)
    expect(asked).toEqual([90_000])
    expect(await waitsBefore({ kind: 'not-let-in', why: '401: who are you' }, 2)).toEqual([30_000, 30_000])
  })
})
