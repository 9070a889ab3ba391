import { v7 as uuidv7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import type { BatchSummary } from '../../../server/wire.ts'
import { atMinute, newEntry, OPENED } from '../../support/entries.ts'
import { browserAt, type PeopleServer, startPeopleServer } from '../../support/people.ts'

/** A finished batch with six values typed in while it stood. */
const typedIn = ({ service: { ledger } }: PeopleServer, day: number): void => {
  const batch = uuidv7()
  const at = 1440 * day
  const more = { batch }
  ledger.append(
    newEntry('batch-opened', at, { ...OPENED, number: `A-${day}`, measuring_place: 'aliquot' }, more),
  )
  ledger.append(newEntry('ozone-on', at + 1, {}, more))
  ledger.append(newEntry('ozone-off', at + 8, {}, more))
  ledger.append(newEntry('flow-off', at + 9, {}, more))
  for (let i = 0; i < 6; i++) {
    const value = Number((20 * 2 ** (-i / 4)).toFixed(2))
    const reading = { quantity: 'dissolved-ozone', value, u_percent: 3, method: 'kit' } as const
    ledger.append(newEntry('reading-by-hand', at + 10 + 5 * i, reading, more))
  }
  ledger.append(newEntry('discarded', at + 60, {}, more))
}

const listOf = async (server: PeopleServer, query: string): Promise<BatchSummary[]> =>
  (await browserAt(server.address).get<BatchSummary[]>(`/api/batches${query}`)).body

describe('the list of batches', () => {
  it('stands at once with what is worked out, and the rest comes at the next askings', async () => {
    const server = await startPeopleServer()
    for (const day of [-4, -3, -2]) typedIn(server, day)
    const pending = (rows: BatchSummary[]) => rows.map((row) => row.pending === true)
    // no patience at all: one batch is worked out in each answer, the newest first
    const first = await listOf(server, '?patience_ms=0')
    expect(pending(first)).toEqual([false, true, true])
    expect(first.map((row) => row.head.number)).toEqual(['A--2', 'A--3', 'A--4'])
    expect(first[1]).toMatchObject({ half_life_min: null, measured_against: [] })
    expect(pending(await listOf(server, '?patience_ms=0'))).toEqual([false, false, true])
    const whole = await listOf(server, '?patience_ms=0')
    expect(pending(whole)).toEqual([false, false, false])
    expect(whole[2]?.half_life_min?.value).toBeCloseTo(20, 0)
    expect(whole).toEqual(await listOf(server, ''))
  })

  it('is worked out in whole for whoever states no patience', async () => {
    const server = await startPeopleServer()
    for (const day of [-4, -3]) typedIn(server, day)
    const rows = await listOf(server, '')
    expect(rows.every((row) => row.half_life_min !== null && row.pending === undefined)).toBe(true)
    expect(rows[0]?.head.opened_at).toBe(atMinute(-3 * 1440))
  })
})
