import { describe, expect, it } from 'vitest'
import type { AlarmView } from '../../../server/alarm/alarm.ts'
import { AlarmBoard } from '../../../server/alarm/alarm-board.ts'
import { alarmEntry } from '../../../server/alarm/alarm-entry.ts'
import { calibrationOverdue } from '../../../server/alarm/calibration-overdue.ts'
import { instrumentSilent } from '../../../server/alarm/instrument-silent.ts'
import { potencyBelowTarget } from '../../../server/alarm/potency-below-target.ts'
import { restoreAlarms } from '../../../server/alarm/restore.ts'
import type { LiveBench } from '../../../server/wire.ts'
import { acknowledging, moment } from '../../support/alarm-moment.ts'
import { atMinute, newEntry, temporaryLedger } from '../../support/entries.ts'
import { liveBench } from '../../support/live-bench.ts'

const view = (live: Partial<LiveBench> = {}, more: Partial<AlarmView> = {}): AlarmView => ({
  live: liveBench(live),
  sdMgL: 0.2,
  probeTauS: 10,
  silentS: 0,
  intervalS: 1,
  calibrationDueAt: atMinute(100_000),
  room: null,
  lastActAt: atMinute(20),
  ...more,
})
const potency = (value: number, state: LiveBench['potency']['state'] = 'live') => ({
  potency: { ...liveBench().potency, value_mg_l: value, state },
})

describe('the alarm "calibration overdue"', () => {
  it('is active once the date has passed, with low priority, and says what to do', () => {
    const at = (calibrationDueAt: string | null) => view({ at: atMinute(20) }, { calibrationDueAt })
    expect(calibrationOverdue.condition(at(atMinute(19)), {})).toBe('active')
    expect(calibrationOverdue.condition(at(atMinute(20)), {})).toBe('clear')
    expect(calibrationOverdue.priority(at(atMinute(19)))).toBe('low')
    expect(calibrationOverdue.text(at(atMinute(19)), {})).toBe(
      'The calibration of the meter at Bench A was due 2026-03-14',
    )
    expect(calibrationOverdue.whatToDo(at(atMinute(19)))).toMatch(/Calibrate the meter/)
  })

  it('is suppressed by design without a date, and cleared by a new calibration', () => {
    expect(calibrationOverdue.suppressed(view({}, { calibrationDueAt: null }))).toBe(true)
    const board = new AlarmBoard(new Map())
    const look = (calibrationDueAt: string | null, nowMs: number) =>
      board
        .look(view({ at: atMinute(20) }, { calibrationDueAt }), moment(nowMs, atMinute(20)))
        .filter((c) => c.rule.name === 'calibration-overdue')
        .map((c) => c.to)
    look(atMinute(30), 0)
    expect([...look(atMinute(19), 1000), ...look(atMinute(19), 2000)]).toEqual(['unacknowledged'])
    expect([...look(atMinute(900), 3000), ...look(atMinute(900), 4000)]).toEqual(['returned-unacknowledged'])
  })
})

describe('the alarm "potency below target"', () => {
  it('looks at the measured value, with a deadband on the way back', () => {
    expect(potencyBelowTarget.condition(view(potency(14.9)), {})).toBe('active')
    expect(potencyBelowTarget.condition(view(potency(15.2)), {})).toBe('between')
    expect(potencyBelowTarget.condition(view(potency(15.5)), {})).toBe('clear')
  })

  it.each([
    [0.05, 0.3],
    [0.2, 0.4],
    [null, 0.3],
  ])('has a deadband of the larger of 2 sd, 2 %% of target and 0.3: sd %s gives %s', (sdMgL, deadband) => {
    expect(potencyBelowTarget.condition(view(potency(15 + deadband - 0.01), { sdMgL }), {})).toBe('between')
    expect(potencyBelowTarget.condition(view(potency(15 + deadband + 0.001), { sdMgL }), {})).toBe('clear')
  })

  it.each(['stale', 'fault', 'clipped', 'probe-out', 'no-reading'] as const)(
    'cannot tell while the value is %s, and so neither raises nor clears',
    (state) => {
      expect(potencyBelowTarget.condition(view(potency(3, state)), {})).toBe('unknown')
    },
  )

  it('waits three response times, at least 10 s, and 30 s when the response time is unknown', () => {
    const delay = (probeTauS: number | null) => potencyBelowTarget.delays(view({}, { probeTauS })).onDelayMs
    expect([delay(13), delay(1), delay(null)]).toEqual([39_000, 10_000, 30_000])
  })

  it('is suppressed by design until the first flow-off, when nothing is left, after discard and without a target', () => {
    const suppressed = (live: Partial<LiveBench>) => potencyBelowTarget.suppressed(view(live))
    const batch = liveBench().batch
    expect(suppressed({})).toBe(false)
    for (const kind of ['set-up', 'bubbling', 'purge', 'discarded'] as const)
      expect(suppressed({ phase: { kind, since: null } })).toBe(true)
    expect(suppressed({ batch: batch && { ...batch, left_ml: 0 } })).toBe(true)
    expect(suppressed({ batch: batch && { ...batch, target_mg_l: null } })).toBe(true)
    expect(suppressed({ batch: null })).toBe(true)
  })

  it('says what to do', () => {
    expect(potencyBelowTarget.whatToDo(view())).toMatch(/Discard/)
  })
})

describe('the alarm "instrument silent"', () => {
  it.each([
    [1, 4.9, 'clear'],
    [1, 5, 'active'],
    [10, 49, 'clear'],
    [10, 50, 'active'],
  ] as const)('with a reading every %s s, after %s s: %s', (intervalS, silentS, condition) => {
    expect(instrumentSilent.condition(view({}, { silentS, intervalS }), {})).toBe(condition)
  })

  it('does not exist at a bench without a meter', () => {
    expect(instrumentSilent.suppressed(view({}, { silentS: null }))).toBe(true)
  })
})

describe('the alarm board', () => {
  const below = view(potency(10))
  /** Changes of this one alarm: at the first look others are suppressed. */
  const look = (board: AlarmBoard, of: AlarmView, at: ReturnType<typeof moment>) =>
    board.look(of, at).filter((c) => c.rule.name === 'potency-below-target')
  const raise = (board: AlarmBoard) =>
    [0, 15_000, 30_000].flatMap((t) => look(board, below, moment(t, atMinute(20))))

  it('gives each change of state once, with who acknowledged and why', () => {
    const board = new AlarmBoard(new Map())
    expect(raise(board).map((c) => [c.rule.name, c.from, c.to])).toEqual([
      ['potency-below-target', 'normal', 'unacknowledged'],
    ])
    board.handle('A:potency-below-target', acknowledging('Ines', 'seen'), atMinute(20))
    expect(look(board, below, moment(31_000, atMinute(21)))).toMatchObject([
      { from: 'unacknowledged', to: 'acknowledged', by: { name: 'Ines', how: 'typed' }, why: 'seen' },
    ])
    expect(look(board, below, moment(32_000, atMinute(21)))).toEqual([])
  })

  it('leaves no entry of an alarm at rest that the phase of the work suppresses, and one of an active alarm', () => {
    const board = new AlarmBoard(new Map())
    const bubbling = view({ ...potency(10), phase: { kind: 'bubbling', since: atMinute(1) } })
    const entryOf = (changes: ReturnType<AlarmBoard['look']>) =>
      changes.map((c) => alarmEntry(c, atMinute(20), 'id')?.data.to)
    expect(entryOf(look(board, bubbling, moment(0, atMinute(20))))).toEqual([undefined])
    expect(
      entryOf([
        ...look(board, below, moment(1000, atMinute(20))),
        ...look(board, below, moment(40_000, atMinute(20))),
      ]),
    ).toEqual([undefined, 'unacknowledged'])
    expect(entryOf(look(board, bubbling, moment(41_000, atMinute(20))))).toEqual(['suppressed-by-design'])
  })

  it('does not know an alarm that does not exist', () => {
    expect(new AlarmBoard(new Map()).handle('A:nothing', acknowledging('Ines'), atMinute(20))).toBeUndefined()
  })

  it('goes on where it stood after a restart, from what the ledger says', () => {
    const { ledger } = temporaryLedger()
    const record = (from: string, to: string, name: string) =>
      ledger.append(
        newEntry(
          'alarm',
          5,
          { alarm: 'potency-below-target', from, to, priority: 'high', text: 'x' },
          { who: { name, how: 'typed' } },
        ),
      )
    record('normal', 'unacknowledged', 'Spargewatch')
    record('unacknowledged', 'acknowledged', 'Ines')
    const board = new AlarmBoard(restoreAlarms(ledger.ofKind('alarm')))
    expect(look(board, below, moment(0, atMinute(22)))).toEqual([])
    expect(board.all()).toMatchObject([
      { state: 'acknowledged', acknowledged_by: 'Ines', since: atMinute(5) },
    ])
  })
})
