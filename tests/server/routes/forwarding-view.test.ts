import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { type ForwardStatus, Outbox, outboxFile } from '../../../ingest/store/outbox.ts'
import { timeUs } from '../../../ingest/units.ts'
import { forwardingView, isForwardingWell } from '../../../server/routes/forwarding-view.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

type Asked = Parameters<typeof forwardingView>[0]

const NOW_MS = 1_789_000_000_000
const viewOf = (home: string, forwards = true, nowMs = NOW_MS) =>
  forwardingView({ config: { home, forwards }, clock: { nowMs: () => nowMs } } as unknown as Asked)

const homeWith = (status: Partial<ForwardStatus>): string => {
  const home = temporaryFolder()
  const outbox = new Outbox(outboxFile(home), 'real')
  outbox.report({
    timeUs: timeUs(NOW_MS * 1000),
    place: 'there',
    version: 1,
    state: 'up-to-date',
    why: null,
    waiting: 0,
    oldestUs: null,
    seq: 10,
    ...status,
  })
  outbox.close()
  return home
}

describe('what is told of forwarding', () => {
  it('is nothing where readings stay on this machine', () => {
    expect(viewOf(homeWith({}), false)).toBeNull()
    expect(isForwardingWell(null)).toBe(true)
  })

  it('is well while it is alive, nothing is refused and nothing waits for long', () => {
    expect(isForwardingWell(viewOf(homeWith({})))).toBe(true)
    const short = viewOf(homeWith({ waiting: 3, oldestUs: timeUs((NOW_MS - 2000) * 1000) }))
    expect(short).toMatchObject({ alive: true, waiting: 3, oldest_waiting_s: 2 })
    expect(isForwardingWell(short)).toBe(true)
  })

  it('is not well when the oldest has waited for more than a minute', () => {
    const long = viewOf(homeWith({ waiting: 3, oldestUs: timeUs((NOW_MS - 61_000) * 1000) }))
    expect(isForwardingWell(long)).toBe(false)
  })

  it('is not alive when it has said nothing for 10 s, or has stopped, or has never run', () => {
    expect(viewOf(homeWith({}), true, NOW_MS + 11_000)).toMatchObject({ alive: false })
    expect(viewOf(homeWith({ state: 'stopped' }))).toMatchObject({ alive: false })
    expect(viewOf(temporaryFolder())).toMatchObject({ alive: false, state: 'never-ran' })
  })

  it('says that 2.x and 3.x were never tried on a live server', () => {
    expect([1, 2, 3].map((v) => viewOf(homeWith({ version: v as 1 | 2 | 3 }))?.proved)).toEqual([
      true,
      false,
      false,
    ])
  })

  it('says what is wrong with a file that cannot be read, and does not fail', () => {
    const home = temporaryFolder()
    writeFileSync(join(home, 'forward.db'), 'this is no database, and long enough to be looked at as one')
    expect(viewOf(home)).toMatchObject({ alive: false, state: 'stopped', why: 'file is not a database' })
  })
})
