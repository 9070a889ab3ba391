import { describe, expect, it } from 'vitest'
import { AlarmBoard } from '../../../server/alarm/alarm-board.ts'
import { diskNearlyFull, isNearlyFull } from '../../../server/alarm/disk-nearly-full.ts'
import { forwardingBacklog, recordBacklog } from '../../../server/alarm/forwarding-backlog.ts'
import { readingsRefused, recordRefused } from '../../../server/alarm/readings-refused.ts'
import { restoreAlarms } from '../../../server/alarm/restore.ts'
import type { DiskSeen, SendingSeen, SiteAlarmView } from '../../../server/alarm/site-alarm-view.ts'
import { REACHED } from '../../../server/notify/delivery-seen.ts'
import { acknowledging, moment } from '../../support/alarm-moment.ts'
import { atMinute, newEntry, temporaryLedger } from '../../support/entries.ts'

const WELL: SendingSeen = {
  oldestWaitingS: null,
  isCatchingUp: false,
  alive: true,
  notLetIn: false,
  refusedAgoS: null,
}
const ROOMY: DiskSeen = { freeBytes: 50e9, totalBytes: 100e9, daysUntilFull: 400 }

const NOTHING_SENT = { forwarding: 'none', mirror: 'none', delivery: 'none', loggingSilentS: 0 } as const
const forwarding = (seen: Partial<SendingSeen>): SiteAlarmView => ({
  ...NOTHING_SENT,
  forwarding: { ...WELL, ...seen },
  mirror: WELL,
  disk: ROOMY,
  delivery: REACHED,
})
const disk = (seen: Partial<DiskSeen>): SiteAlarmView => ({ ...NOTHING_SENT, disk: { ...ROOMY, ...seen } })

describe('the alarm "forwarding backlog"', () => {
  it.each([
    [null, false, 'clear'],
    [119, false, 'clear'],
    [120, false, 'between'],
    [299, false, 'between'],
    [300, false, 'active'],
    [9e7, false, 'active'],
    [9e7, true, 'between'],
  ] as const)('with the oldest waiting for %s s, catching up %s: %s', (oldestWaitingS, isCatchingUp, is) => {
    expect(forwardingBacklog.condition(forwarding({ oldestWaitingS, isCatchingUp }), {})).toBe(is)
  })

  it('is suppressed where nothing is sent on, and cannot tell when the state cannot be read', () => {
    expect(forwardingBacklog.suppressed({ ...NOTHING_SENT, disk: ROOMY })).toBe(true)
    const unreadable: SiteAlarmView = { ...NOTHING_SENT, forwarding: 'unknown', disk: ROOMY }
    expect(forwardingBacklog.suppressed(unreadable)).toBe(false)
    expect(forwardingBacklog.condition(unreadable, {})).toBe('unknown')
  })

  it('says what to do for each of its causes', () => {
    const toDo = (seen: Partial<SendingSeen>) => forwardingBacklog.whatToDo(forwarding(seen))
    expect(toDo({})).toMatch(/^Nothing is lost.*InfluxDB runs, can be reached/)
    expect(toDo({ notLetIn: true })).toMatch(/mend user, password, token/)
    expect(toDo({ alive: false })).toMatch(/does not run: its log says why/)
  })
})

describe('the alarm "readings refused"', () => {
  it.each([
    [null, 'clear'],
    [0, 'active'],
    [86_399, 'active'],
    [86_400, 'clear'],
  ] as const)('%s s after the last refusal: %s', (refusedAgoS, is) => {
    expect(readingsRefused.condition(forwarding({ refusedAgoS }), {})).toBe(is)
  })
})

describe('the alarms of the mirror of the record', () => {
  const mirror = (seen: Partial<SendingSeen>): SiteAlarmView => ({
    ...NOTHING_SENT,
    mirror: { ...WELL, ...seen },
    disk: ROOMY,
  })

  it('are those of readings, with words of their own, and neither is about the other', () => {
    expect(recordBacklog.condition(mirror({ oldestWaitingS: 900 }), {})).toBe('active')
    expect(recordRefused.condition(mirror({ refusedAgoS: 10 }), {})).toBe('active')
    expect(recordBacklog.text(mirror({}), {})).toMatch(/^Entries of the record/)
    expect(recordRefused.whatToDo(mirror({}))).toMatch(/the mirror lacks them/)
    expect(forwardingBacklog.suppressed(mirror({ oldestWaitingS: 900 }))).toBe(true)
    expect(recordBacklog.condition(forwarding({ oldestWaitingS: 900 }), {})).toBe('clear')
  })
})

describe('the alarm "disk nearly full"', () => {
  it.each([
    [{}, 'clear', 'medium'],
    [{ daysUntilFull: null }, 'clear', 'medium'],
    [{ daysUntilFull: 20 }, 'between', 'medium'],
    [{ daysUntilFull: 13 }, 'active', 'medium'],
    [{ daysUntilFull: 0.5 }, 'active', 'high'],
    [{ freeBytes: 1.2e9 }, 'between', 'medium'],
    [{ freeBytes: 0.9e9 }, 'active', 'medium'],
    [{ freeBytes: 0.9e9, totalBytes: 4e9 }, 'clear', 'medium'],
    [{ freeBytes: 9e7, totalBytes: 4e9 }, 'active', 'high'],
  ] as const)('with %o: %s', (seen, is, priority) => {
    expect(diskNearlyFull.condition(disk(seen), {})).toBe(is)
    expect(diskNearlyFull.priority(disk(seen))).toBe(priority)
  })

  it('has the limits that the page of the program shows', () => {
    expect(isNearlyFull({ ...ROOMY, daysUntilFull: 13.9 })).toBe(true)
    expect(isNearlyFull({ ...ROOMY, daysUntilFull: 14 })).toBe(false)
  })

  it('neither raises nor clears while the disk cannot be asked', () => {
    expect(diskNearlyFull.condition({ ...NOTHING_SENT, disk: 'unknown' }, {})).toBe('unknown')
  })
})

describe('alarms of the whole site', () => {
  const behind = forwarding({ oldestWaitingS: 1000 })
  const states = (board: AlarmBoard, view: SiteAlarmView, ...times: number[]) =>
    times.flatMap((t) =>
      board.lookAtSite(view, moment(t * 1000, atMinute(20))).map((c) => [c.rule.name, c.to]),
    )

  it('are raised after 30 s, belong to no bench, and return to normal', () => {
    const board = new AlarmBoard(new Map())
    expect(states(board, behind, 0, 29)).toEqual([])
    expect(states(board, behind, 30)).toEqual([['forwarding-backlog', 'unacknowledged']])
    expect(board.all()).toMatchObject([{ key: 'site:forwarding-backlog', bench: null, batch: null }])
    board.handle('site:forwarding-backlog', acknowledging('Ines'), atMinute(20))
    expect(states(board, behind, 31)).toEqual([['forwarding-backlog', 'acknowledged']])
    expect(states(board, forwarding({ oldestWaitingS: 5000, isCatchingUp: true }), 40, 90)).toEqual([])
    expect(states(board, forwarding({}), 100, 109)).toEqual([])
    expect(states(board, forwarding({}), 110)).toEqual([['forwarding-backlog', 'normal']])
    expect(board.all()).toEqual([])
  })

  it('are not raised by a backlog that shrinks between two looks', () => {
    const board = new AlarmBoard(new Map())
    const shrinking = forwarding({ oldestWaitingS: 5000, isCatchingUp: true })
    for (let t = 0; t < 300; t += 20)
      expect([...states(board, behind, t), ...states(board, shrinking, t + 10)]).toEqual([])
  })

  it('go on where they stood after a restart', () => {
    const { ledger } = temporaryLedger()
    const data = {
      alarm: 'forwarding-backlog',
      from: 'normal',
      to: 'unacknowledged',
      priority: 'low',
      text: 'x',
    }
    ledger.append(newEntry('alarm', 5, data, { bench: null, batch: null }))
    const board = new AlarmBoard(restoreAlarms(ledger.ofKind('alarm')))
    expect(states(board, forwarding({ oldestWaitingS: 950 }), 0)).toEqual([])
    expect(board.all()).toMatchObject([{ state: 'unacknowledged', since: atMinute(5) }])
  })
})
