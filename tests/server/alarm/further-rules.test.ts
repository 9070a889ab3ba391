import { describe, expect, it } from 'vitest'
import type { AlarmRule, AlarmView } from '../../../server/alarm/alarm.ts'
import { AlarmBoard } from '../../../server/alarm/alarm-board.ts'
import { ALARM_NAMES } from '../../../server/alarm/alarm-names.ts'
import { ALARM_RULES, ruleNamed } from '../../../server/alarm/alarm-rules.ts'
import { checkSetting, limitsNow } from '../../../server/alarm/alarm-settings.ts'
import type { LiveBench } from '../../../server/wire.ts'
import { moment } from '../../support/alarm-moment.ts'
import { atMinute } from '../../support/entries.ts'
import { liveBench } from '../../support/live-bench.ts'

type Live = Partial<LiveBench>
const BATCH = liveBench().batch
if (BATCH === null) throw new Error('the bench of the tests has a batch')
const batch = (over: Partial<NonNullable<LiveBench['batch']>>): Live => ({ batch: { ...BATCH, ...over } })

const view = (live: Live = {}, more: Partial<AlarmView> = {}): AlarmView => ({
  live: liveBench({ at: atMinute(20), ...live }),
  sdMgL: 0.2,
  probeTauS: 10,
  silentS: 0,
  intervalS: 1,
  calibrationDueAt: null,
  room: null,
  lastActAt: atMinute(20),
  ...more,
})

const rule = (name: string): AlarmRule => {
  const found = ALARM_RULES.find((r) => r.name === name)
  if (!found) throw new Error(name)
  return found
}
const WILL = 'will-fall-below-target'
/** Changes of one alarm: at the first look others are suppressed. */
const look = (board: AlarmBoard, of: AlarmView, at: ReturnType<typeof moment>) =>
  board.look(of, at).filter((c) => c.rule.name === WILL)

const is = (name: string, of: AlarmView): string => {
  const r = rule(name)
  return r.suppressed(of) ? 'suppressed' : r.condition(of, limitsNow(r.limits, undefined))
}
const text = (name: string, of: AlarmView): string =>
  rule(name).text(of, limitsNow(rule(name).limits, undefined))

const counting = (earlyMinute: number): Live => ({
  forecast: {
    ...liveBench().forecast,
    state: 'counting',
    early_bound_at: atMinute(earlyMinute),
    reaches_target_at: atMinute(earlyMinute + 4),
  },
})
const bubbling = (over: Live = {}): Live => ({ phase: { kind: 'bubbling', since: atMinute(12) }, ...over })

describe('the alarm "will fall below target"', () => {
  it.each([
    [20 + 5.01, 'between'],
    [20 + 5, 'active'],
    [20 + 1, 'active'],
    [20 + 6.3, 'clear'],
  ])('with 5 min from draw-up to use, at minute 20, early bound at %d: %s', (minute, condition) => {
    expect(is('will-fall-below-target', view(counting(minute)))).toBe(condition)
  })

  it('uses the time from draw-up to use that the batch states', () => {
    const slow = view({ ...counting(29), ...batch({ lead_time_min: 10 }) })
    expect(is('will-fall-below-target', slow)).toBe('active')
    expect(text('will-fall-below-target', slow)).toBe(
      'May fall below the 15 µg/mL you set within 10 min (early bound)',
    )
  })

  it('comes before the alarm that it is below, and stays until that is over', () => {
    const below = view({ forecast: { ...liveBench().forecast, state: 'below-target' } })
    expect(is('will-fall-below-target', below)).toBe('active')
    expect(text('will-fall-below-target', below)).toMatch(/^The best estimate is below/)
  })

  it('cannot tell without a forecast, and is suppressed while gas flows and when nothing is left', () => {
    const blind = { forecast: { ...liveBench().forecast, state: 'cannot-tell' as const } }
    expect(is('will-fall-below-target', view(blind))).toBe('unknown')
    expect(is('will-fall-below-target', view({ ...counting(21), ...bubbling() }))).toBe('suppressed')
    expect(is('will-fall-below-target', view({ ...counting(21), ...batch({ left_ml: 0 }) }))).toBe(
      'suppressed',
    )
  })
})

describe('the alarm "plateau not reached"', () => {
  const rise = (part: number | null): LiveBench['fits'] => [
    {
      kind: 'rise',
      status: 'fitted',
      why: null,
      start: atMinute(12),
      end: atMinute(20),
      plateau_mg_l: null,
      rate_per_min: null,
      t95_min: null,
      half_life_min: null,
      half_life_20c_min: null,
      lost_percent: null,
      fraction_of_plateau: part,
      order: null,
      residual_sd_mg_l: 0.2,
      n: 480,
      n_eff: 60,
      notes: [],
    },
  ]
  it.each([
    [19, 0.82, 'active'],
    [19, 0.945, 'between'],
    [19, 0.96, 'clear'],
    [21, 0.5, 'clear'],
    [19, null, 'unknown'],
  ] as const)('planned to minute %d, at minute 20 with %s of the plateau: %s', (planned, part, condition) => {
    const live = bubbling({ ozone_off_at_planned: atMinute(planned), fits: rise(part) })
    expect(is('plateau-not-reached', view(live))).toBe(condition)
  })

  it('says how far it came, and is suppressed without a planned time', () => {
    const live = bubbling({ ozone_off_at_planned: atMinute(19), fits: rise(0.82) })
    expect(text('plateau-not-reached', view(live))).toMatch(/at 82 % of what it levels off at/)
    expect(is('plateau-not-reached', view(bubbling({ ozone_off_at_planned: null })))).toBe('suppressed')
  })
})

describe('the alarm "reading due"', () => {
  const typed = (minute: number): Live => ({
    metered: false,
    potency: { ...liveBench().potency, state: 'by-hand', at: atMinute(minute) },
  })
  it.each([
    [10, 'active'],
    [10.1, 'clear'],
  ])('standing, the last one at minute %d of 20: %s', (minute, condition) => {
    expect(
      is('reading-due', view({ ...typed(minute), phase: { kind: 'standing', since: atMinute(2) } })),
    ).toBe(condition)
  })

  it('counts from flow-off too, wants one every 5 min while it bubbles, and none where a meter is wired', () => {
    const after = { ...typed(2), phase: { kind: 'standing', since: atMinute(15) } as const }
    expect(is('reading-due', view(after))).toBe('clear')
    expect(is('reading-due', view({ ...typed(14.9), ...bubbling() }))).toBe('active')
    expect(is('reading-due', view({ ...typed(2), metered: true }))).toBe('suppressed')
  })
})

describe('the alarm "instrument fault"', () => {
  it('is active for meter or thermometer, and cleared only by a meter that speaks', () => {
    const potency = (state: LiveBench['potency']['state']) => ({ potency: { ...liveBench().potency, state } })
    expect(is('instrument-fault', view(potency('fault')))).toBe('active')
    expect(is('instrument-fault', view({ temperature: { state: 'fault', celsius: null, at: null } }))).toBe(
      'active',
    )
    expect(is('instrument-fault', view(potency('stale')))).toBe('unknown')
    expect(is('instrument-fault', view(potency('live')))).toBe('clear')
  })
})

describe('the alarm "temperature off plan"', () => {
  const at = (celsius: number): Live =>
    bubbling({ ...batch({ temperature_c: 5 }), temperature: { state: 'live', celsius, at: atMinute(20) } })
  it.each([
    [7.1, 'active'],
    [2.9, 'active'],
    [6.9, 'between'],
    [6.6, 'clear'],
    [5, 'clear'],
  ])('planned 5 °C, measured %d °C: %s', (celsius, condition) => {
    expect(is('temperature-off-plan', view(at(celsius)))).toBe(condition)
  })

  it('cannot tell from an old value, and is suppressed without a plan and while it stands', () => {
    const old = { ...at(9), temperature: { state: 'stale' as const, celsius: 9, at: atMinute(1) } }
    expect(is('temperature-off-plan', view(old))).toBe('unknown')
    expect(is('temperature-off-plan', view({ ...at(9), ...batch({ temperature_c: null }) }))).toBe(
      'suppressed',
    )
    const standing = { ...at(9), phase: { kind: 'standing', since: atMinute(5) } as const }
    expect(is('temperature-off-plan', view(standing))).toBe('suppressed')
  })
})

describe('the alarms for ozone in the room', () => {
  const room = (minutePpm: number | null, eightHoursPpm: number | null = 0.01) =>
    view({}, { room: { minutePpm, eightHoursPpm } })
  it.each([
    // NIOSH REL 0.1 ppm ceiling; ACGIH TLV-TWA 0.05 ppm heavy work
    ['room-ozone-ceiling', room(0.1), 'active'],
    ['room-ozone-ceiling', room(0.095), 'between'],
    ['room-ozone-ceiling', room(0.08), 'clear'],
    ['room-ozone-ceiling', room(null), 'unknown'],
    ['room-ozone-8-h', room(0.01, 0.05), 'active'],
    ['room-ozone-8-h', room(0.01, 0.044), 'clear'],
  ])('%s %#', (name, of, condition) => {
    expect(is(name, of)).toBe(condition)
  })

  it('are of the highest priority, say to get out first, and do not exist without a monitor', () => {
    expect(rule('room-ozone-ceiling').priority(room(0.2))).toBe('high')
    expect(rule('room-ozone-ceiling').whatToDo(room(0.2))).toMatch(/^Ozone off\. Everyone out\. Ventilate\./)
    expect(is('room-ozone-ceiling', view())).toBe('suppressed')
  })

  it('may be neither silenced nor delayed nor made less, and their limit stays under what the standards allow', () => {
    const set = (over: object) => () =>
      checkSetting({ alarm: 'room-ozone-ceiling', in_service: true, ...over }, rule('room-ozone-ceiling'))
    expect(set({ in_service: false })).toThrow(/may not be taken out of service/)
    expect(set({ priority: 'low' })).toThrow(/priority stays high/)
    expect(set({ on_delay_s: 60 })).toThrow(/may not be delayed/)
    expect(set({ limits: { ceiling_ppm: 5 } })).toThrow(/ceiling_ppm must lie from 0.01 to 0.3 ppm, got 5/)
    expect(set({ limits: { ceiling_ppm: 0.2 } })).not.toThrow()
  })
})

describe('the alarms about a batch nobody looks after', () => {
  it('past its age limit, counted from the opening', () => {
    const aged = (age_limit_min: number | null) => view(batch({ age_limit_min, opened_at: atMinute(0) }))
    expect(is('batch-past-age-limit', aged(20))).toBe('clear')
    expect(is('batch-past-age-limit', aged(19))).toBe('active')
    expect(is('batch-past-age-limit', aged(null))).toBe('suppressed')
  })

  it('bubbling on ten minutes after the planned end, or standing for an hour and a half, with nothing entered', () => {
    const on = (planned: number | null, act: number) =>
      view(bubbling({ ozone_off_at_planned: planned === null ? null : atMinute(planned) }), {
        lastActAt: atMinute(act),
      })
    expect(is('batch-left-alone', on(11, 2))).toBe('clear')
    expect(is('batch-left-alone', on(10, 2))).toBe('active')
    expect(is('batch-left-alone', on(5, 11))).toBe('clear')
    expect(is('batch-left-alone', on(null, 10))).toBe('active')
    const standing = (act: number) => view({ at: atMinute(100) }, { lastActAt: atMinute(act) })
    expect(is('batch-left-alone', standing(10))).toBe('active')
    expect(is('batch-left-alone', standing(11))).toBe('clear')
  })
})

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
