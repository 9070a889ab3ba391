import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { Outbox, outboxFile } from '../../../ingest/store/outbox.ts'
import { SqliteStore } from '../../../ingest/store/sqlite-store.ts'
import { timeUs } from '../../../ingest/units.ts'
import { createSiteWatch } from '../../../server/live/site-watch.ts'
import { newEntry, temporaryLedger } from '../../support/entries.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const NOW_MS = 1_789_000_000_000
const PLACE = 'there'

const setUp = () => {
  const home = temporaryFolder()
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  const outbox = new Outbox(outboxFile(home), 'real')
  const { ledger } = temporaryLedger()
  onTestFinished(() => {
    store.db.close()
    outbox.close()
  })
  let nowMs = NOW_MS
  const look = createSiteWatch({
    config: { home, forwards: true, mirrors: true },
    store,
    ledger,
    nowMs: () => nowMs,
    disk: () => {
      throw new Error('no disk')
    },
    delivery: () => 'none',
    loggingSilentS: () => 0,
    onTrouble: () => {},
  })
  return {
    look,
    laterS: (s: number) => {
      nowMs += 1000 * s
    },
    store: (instrument: string, ageS: number) =>
      store.appendNow([
        {
          series: { bench: 'A', instrument, channel: 'dissolved-ozone' },
          timeUs: timeUs((NOW_MS - 1000 * ageS) * 1000),
          bootId: 'b',
          monoMs: 0,
          raw: 1,
          value: 1,
          quality: 'good',
          movedUs: 0,
        },
      ]).stored[0],
    report: (seq: number) =>
      outbox.report({
        timeUs: timeUs(nowMs * 1000),
        place: PLACE,
        version: 1,
        state: 'sending',
        why: null,
        waiting: 0,
        oldestUs: null,
        seq,
      }),
    outbox,
    ledger,
  }
}

describe('what alarms of the whole site look at', () => {
  it('counts how long the oldest reading has waited, also when the forwarder has gone or never ran', () => {
    const site = setUp()
    site.store('meter-a', 1000)
    site.store('meter-a', 400)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: 1000, alive: false })
    site.report(1)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: 400, alive: true })
    site.laterS(60)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: 460, alive: false })
    site.report(2)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: null })
  })

  it('takes no old time of an imported file for a long wait', () => {
    const site = setUp()
    site.store('import:abc', 9e7)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: null })
    site.store('meter-a', 10)
    expect(site.look().forwarding).toMatchObject({ oldestWaitingS: 10 })
  })

  it('tells a backlog that shrinks from one that grows', () => {
    const site = setUp()
    for (const age of [5000, 4000, 3000]) site.store('meter-a', age)
    const catchingUp = () => {
      site.laterS(5)
      const { forwarding } = site.look()
      return typeof forwarding === 'object' && forwarding.isCatchingUp
    }
    expect(catchingUp()).toBe(false)
    expect(catchingUp()).toBe(false)
    site.report(1)
    expect(catchingUp()).toBe(true)
    expect(catchingUp()).toBe(false)
  })

  it('tells since when readings are refused', () => {
    const site = setUp()
    site.report(0)
    const at = timeUs((NOW_MS - 7000) * 1000)
    site.outbox.refuse([{ seq: 1, series: 'A/meter-a/dissolved-ozone', timeUs: at, words: 'no' }], at)
    expect(site.look().forwarding).toMatchObject({ refusedAgoS: 7 })
  })

  it('counts how long the oldest entry of the record has waited, from when it was entered', () => {
    const site = setUp()
    expect(site.look().mirror).toMatchObject({ oldestWaitingS: null, alive: false })
    const entered = new Date(NOW_MS - 90_000).toISOString()
    site.ledger.append(newEntry('ozone-on', 0, {}, { entered_at: entered }))
    expect(site.look().mirror).toMatchObject({ oldestWaitingS: 90 })
  })

  it('says unknown of what cannot be looked at', () => {
    expect(setUp().look().disk).toBe('unknown')
  })
})
