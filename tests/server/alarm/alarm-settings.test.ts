import { describe, expect, it } from 'vitest'
import { AlarmBoard } from '../../../server/alarm/alarm-board.ts'
import { ALARM_NAMES } from '../../../server/alarm/alarm-names.ts'
import { ruleNamed } from '../../../server/alarm/alarm-rules.ts'
import { checkSetting } from '../../../server/alarm/alarm-settings.ts'
import { moment } from '../../support/alarm-moment.ts'
import { batch, counting, is, look, rule, view } from '../../support/alarm-view.ts'
import { atMinute } from '../../support/entries.ts'

describe('what the clinic sets', () => {
  const late = view({ at: atMinute(20), ...counting(27) })

  it('counts from the next look on: limits, priority, delays', () => {
    const board = new AlarmBoard(new Map())
    const set = {
      alarm: 'will-fall-below-target',
      in_service: true,
      priority: 'high',
      on_delay_s: 2,
    } as const
    const lead = view({ at: atMinute(20), ...counting(27), ...batch({ lead_time_min: null }) })
    const settings = { ...set, limits: { lead_min: 8 } }
    expect(look(board, lead, moment(0, atMinute(20))).map((c) => c.to)).not.toContain('unacknowledged')
    look(board, lead, moment(1000, atMinute(20), settings))
    const changes = look(board, lead, moment(3000, atMinute(20), settings))
    expect(changes).toMatchObject([{ to: 'unacknowledged', priority: 'high' }])
    expect(changes[0]?.text).toContain('within 8 min')
  })

  it('takes an alarm out of service and back', () => {
    const board = new AlarmBoard(new Map())
    const active = view(counting(22))
    look(board, active, moment(0, atMinute(20)))
    const out = { alarm: 'will-fall-below-target', in_service: false } as const
    const changes = look(board, active, moment(1000, atMinute(20), out))
    expect(changes.map((c) => [c.from, c.to])).toEqual([['unacknowledged', 'out-of-service']])
    expect(board.all().map((a) => a.state)).toEqual(['out-of-service'])
    expect(look(board, active, moment(2000, atMinute(20))).map((c) => c.to)).toEqual(['unacknowledged'])
    expect(is('will-fall-below-target', late)).toBe('clear')
  })

  it('is refused where the alarm has no such limit, with every fault in one answer', () => {
    expect(() =>
      checkSetting(
        { alarm: 'reading-due', in_service: true, limits: { standing_min: 0, other: 3 } },
        rule('reading-due'),
      ),
    ).toThrow(/standing_min must lie from 1 to 120 min, got 0; it has no limit "other"/)
  })

  it('exists for every alarm there is', () => {
    expect(ALARM_NAMES.filter((name) => ruleNamed(name) === undefined)).toEqual([])
  })
})

describe('a shelved alarm on the board', () => {
  const active = view(counting(22))
  const INES = { name: 'Ines', how: 'typed' } as const
  const shelve = { handling: { kind: 'shelve', forMs: 600_000 } as const, by: INES, why: 'drawing up now' }

  it('says until when, by whom and why, is kept over a restart, and comes back', () => {
    const board = new AlarmBoard(new Map())
    look(board, active, moment(0, atMinute(20)))
    board.handle('A:will-fall-below-target', shelve, atMinute(20))
    const [change] = look(board, active, moment(1000, atMinute(20)))
    expect(change).toMatchObject({ to: 'shelved', by: INES, why: 'drawing up now', until: atMinute(30) })
    const restored = {
      state: 'shelved',
      since: atMinute(20),
      batch: null,
      acknowledgedBy: null,
      acknowledgedAt: null,
      shelvedUntil: atMinute(30),
    } as const
    const again = new AlarmBoard(new Map([['A:will-fall-below-target', restored]]))
    expect(look(again, active, moment(5_000_000, atMinute(25)))).toEqual([])
    expect(again.all()).toMatchObject([{ state: 'shelved', shelved_until: atMinute(30) }])
    expect(look(again, active, moment(5_299_000, atMinute(29)))).toEqual([])
    expect(look(again, active, moment(5_300_001, atMinute(30))).map((c) => c.to)).toEqual(['unacknowledged'])
  })
})
