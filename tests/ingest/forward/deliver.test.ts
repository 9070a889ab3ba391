import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { backOffMs } from '../../../ingest/forward/back-off.ts'
import { deliver } from '../../../ingest/forward/deliver.ts'
import type { Reading } from '../../../ingest/reading/reading.ts'
import type { WriteOutcome } from '../../../ingest/store/influx-connection.ts'
import { lineOf } from '../../../ingest/store/influx-line.ts'
import { timeUs } from '../../../ingest/units.ts'

const reading = (seq: number, value: number | null = seq): Reading => ({
  series: { bench: 'A', instrument: 'meter-a', channel: 'dissolved-ozone' },
  seq,
  timeUs: timeUs(seq * 1e6),
  bootId: 'boot-1',
  monoMs: seq,
  raw: value,
  value,
  quality: 'good',
  movedUs: 0,
})
const many = (n: number) => Array.from({ length: n }, (_, i) => reading(i + 1))

/** A server that refuses any request that holds one of these, and remembers what it took, as the real one does. */
const picky = (bad: ReadonlySet<number>, says: (lines: number, bad: number) => string = () => 'no') => {
  const server = { requests: 0, took: new Set<string>() }
  const write = async (lines: readonly string[]): Promise<WriteOutcome> => {
    server.requests += 1
    const wrong = lines.filter((line) => bad.has(Number(line)))
    for (const line of lines) if (!wrong.includes(line)) server.took.add(line)
    if (wrong.length === 0) return { kind: 'acknowledged' }
    return { kind: 'refused', words: says(lines.length, wrong.length), all: wrong.length === lines.length }
  }
  return { server, write, lineOf: (r: Reading) => String(r.seq) }
}
const seqs = (list: readonly Reading[]) => list.map((r) => r.seq).sort((a, b) => a - b)

describe('delivering a batch', () => {
  it('accounts for every reading, whichever the server refuses, and takes no other along', async () => {
    const wrong = fc.uniqueArray(fc.integer({ min: 1, max: 60 }), { maxLength: 60 })
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 0, max: 60 }), wrong, async (n, bad) => {
        const { server, ...options } = picky(new Set(bad))
        const done = await deliver(many(n), options)
        if (done.kind !== 'done') throw new Error('it was to be done')
        const expected = bad.filter((seq) => seq <= n).sort((a, b) => a - b)
        expect(seqs(done.refused.map((r) => r.item))).toEqual(expected)
        expect(seqs(done.taken)).toEqual(many(n).flatMap((r) => (bad.includes(r.seq) ? [] : [r.seq])))
        expect(server.took.size).toBe(n - expected.length)
      }),
    )
  })

  it('finds one bad reading among 5000 in fewer than 2·log2(5000) + 2 requests', async () => {
    const { server, ...options } = picky(new Set([3210]), (lines) => `refused one of ${lines}`)
    const done = await deliver(many(5000), options)
    expect(done).toMatchObject({ kind: 'done', refused: [{ words: 'refused one of 1' }] })
    expect(server.requests).toBeLessThanOrEqual(2 * Math.ceil(Math.log2(5000)) + 2)
  })

  it('does not halve what is refused as a whole', async () => {
    const { server, ...options } = picky(new Set(many(100).map((r) => r.seq)))
    await deliver(many(100), options)
    expect(server.requests).toBe(1)
  })

  it('breaks off at an answer that says nothing of the readings, and counts none as sent', async () => {
    const outcome = { kind: 'unreachable', why: '503: busy', retryAfterMs: 7000 } as const
    const answers: WriteOutcome[] = [{ kind: 'refused', words: 'no', all: false }, outcome]
    const write = async () => answers.shift() ?? outcome
    expect(await deliver(many(4), { write, lineOf: () => 'x' })).toEqual({ kind: 'broken-off', outcome })
  })

  it('lists a number that the line protocol cannot hold without asking the server', async () => {
    const sent: string[] = []
    const write = async (lines: readonly string[]): Promise<WriteOutcome> => {
      sent.push(...lines)
      return { kind: 'acknowledged' }
    }
    const batch = [reading(1, Number.POSITIVE_INFINITY), reading(2, Number.NaN), reading(3, null)]
    const done = await deliver(batch, { write, lineOf: (r) => lineOf('S', r) })
    expect(done).toMatchObject({ kind: 'done', refused: [{ item: { seq: 1 } }, { item: { seq: 2 } }] })
    expect(sent).toHaveLength(1)
  })
})

describe('waiting before the next try', () => {
  it('doubles from half a second to a minute, or to what was said, a fifth of it by chance', () => {
    expect([1, 2, 3, 8, 30].map((n) => backOffMs(n, 0, 1))).toEqual([500, 1000, 2000, 60_000, 60_000])
    expect(backOffMs(8, 0, 1, 15_000)).toBe(15_000)
    expect(backOffMs(3, 0, 0)).toBe(1600)
  })

  it('is never shorter than what the server asked for', () => {
    expect(backOffMs(1, 90_000, 0.5)).toBe(90_000)
  })
})
