import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { ServerError } from '../../../server/errors.ts'
import type { Entry } from '../../../server/ledger/entry.ts'
import { GENESIS, hashOf, verifyChain } from '../../../server/ledger/hash-chain.ts'
import { Ledger } from '../../../server/ledger/ledger.ts'
import { newEntry, OPENED, temporaryLedger } from '../../support/entries.ts'

const filled = () => {
  const { ledger, path } = temporaryLedger()
  ledger.append(newEntry('batch-opened', 0, OPENED))
  ledger.append(newEntry('ozone-on', 1, {}))
  ledger.append(newEntry('ozone-off', 8, {}))
  return { ledger, path }
}

describe('the ledger', () => {
  it('numbers entries and chains each to the one before', () => {
    const { ledger } = filled()
    const entries = [...ledger.all()]
    expect(entries.map((e) => e.seq)).toEqual([1, 2, 3])
    expect(entries.map((e) => e.prev)).toEqual([GENESIS, entries[0]?.hash, entries[1]?.hash])
    expect(verifyChain(entries)).toMatchObject({ ok: true, entries: 3, anchor: 'none given' })
  })

  it('gives the hash that an independent program computes from the canonical JSON', () => {
    const entry = {
      id: '01900000-0000-7000-8000-00000000000a',
      seq: 1,
      happened_at: '2026-03-14T09:00:00.000Z',
      entered_at: '2026-03-14T09:00:01.000Z',
      bench: 'A',
      batch: null,
      who: { name: 'Inés', how: 'typed' },
      why: null,
      kind: 'note',
      data: { text: '1e3 "µg"' },
      prev: GENESIS,
    } as const
    // python3: json.dumps(entry, sort_keys=True, separators=(',', ':'), ensure_ascii=False), sha256 of its UTF-8 (equal to RFC 8785 for these types)
    expect(hashOf(entry)).toBe('8fc974a59e2f31e2dfd7ea4e9be3dc82861392c875672098320ec4d84316b4a2')
  })

  it('takes the same id again as a retry: one entry, no error', () => {
    const { ledger } = filled()
    const note = newEntry('note', 9, { text: 'hello' })
    expect(ledger.append(note).repeated).toBe(false)
    expect(ledger.append(note).repeated).toBe(true)
    expect(ledger.head().entries).toBe(4)
  })

  it('refuses an id that already names something else', () => {
    const { ledger } = filled()
    const note = newEntry('note', 9, { text: 'hello' })
    ledger.append(note)
    expect(() => ledger.append({ ...newEntry('discarded', 9, {}), id: note.id })).toThrow(
      /already names another entry/,
    )
  })

  it('answers a writer who has not seen the newest entries with those entries', () => {
    const { ledger } = filled()
    const late = () => ledger.append(newEntry('flow-off', 9, {}, { expectedSeq: 2 }))
    expect(late).toThrow(ServerError)
    try {
      late()
    } catch (error) {
      expect((error as ServerError).code).toBe('conflict')
      expect(((error as ServerError).context['entries'] as Entry[]).map((e) => e.kind)).toEqual(['ozone-off'])
    }
  })

  it('cannot be changed or shortened through the database', () => {
    const { ledger } = filled()
    expect(() => ledger.db.exec("UPDATE entry SET data = '{}'")).toThrow(/never changed/)
    expect(() => ledger.db.exec('DELETE FROM entry')).toThrow(/never deleted/)
  })

  it('writes a daemon event once although the process died between two looks', () => {
    const { ledger, path } = filled()
    ledger.appendAll([newEntry('from-daemon', 9, { event: 7, kind: 'gap', detail: {} })], 7)
    ledger.close()
    const again = new Ledger(path, 'real')
    expect(again.daemonEventSeen()).toBe(7)
    again.close()
  })
})

/** What somebody with the file and a database shell could do. */
const tamper = (path: string, sql: string): Entry[] => {
  const db = new Database(path)
  db.exec('DROP TRIGGER entry_kept; DROP TRIGGER entry_fixed;')
  db.exec(sql)
  db.close()
  const ledger = new Ledger(path, 'real')
  const entries = [...ledger.all()]
  ledger.close()
  return entries
}

describe('verifying the ledger', () => {
  it('finds a changed entry', () => {
    const { ledger, path } = filled()
    ledger.close()
    const entries = tamper(path, "UPDATE entry SET happened_at = '2026-03-14T08:00:00.000Z' WHERE seq = 2")
    expect(verifyChain(entries)).toEqual({
      ok: false,
      at: 2,
      why: 'entry 2 was changed after it was written',
    })
  })

  it('finds a removed entry', () => {
    const { ledger, path } = filled()
    ledger.close()
    expect(verifyChain(tamper(path, 'DELETE FROM entry WHERE seq = 2'))).toMatchObject({
      ok: false,
      at: 2,
      why: expect.stringContaining('is missing'),
    })
  })

  it('finds a cut tail against the anchor on a printed record, which consistency alone cannot', () => {
    const { ledger, path } = filled()
    const anchor = ledger.head()
    ledger.close()
    const cut = tamper(path, 'DELETE FROM entry WHERE seq = 3')
    expect(verifyChain(cut)).toMatchObject({ ok: true })
    expect(verifyChain(cut, anchor)).toMatchObject({ ok: false, why: expect.stringContaining('cut off') })
  })

  it('finds a wholly rewritten ledger against the anchor', () => {
    const anchor = filled().ledger.head()
    const { ledger } = temporaryLedger()
    ledger.append(newEntry('batch-opened', 0, { ...OPENED, target_mg_l: 5 }))
    ledger.append(newEntry('ozone-on', 1, {}))
    ledger.append(newEntry('ozone-off', 8, {}))
    expect(verifyChain(ledger.all())).toMatchObject({ ok: true })
    expect(verifyChain(ledger.all(), anchor)).toMatchObject({
      ok: false,
      why: expect.stringContaining('rewritten'),
    })
  })

  it('accepts a ledger that has grown since its anchor', () => {
    const { ledger } = filled()
    const anchor = ledger.head()
    ledger.append(newEntry('note', 9, { text: 'more' }))
    expect(verifyChain(ledger.all(), anchor)).toMatchObject({ ok: true, entries: 4, anchor: 'matches' })
  })
})
