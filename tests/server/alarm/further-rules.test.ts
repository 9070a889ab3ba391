import { describe, expect, it } from 'vitest'
import { checkSetting } from '../../../server/alarm/alarm-settings.ts'
import type { LiveBench } from '../../../server/wire.ts'
import { batch, bubbling, counting, is, type Live, rule, text, view } from '../../support/alarm-view.ts'
import { atMinute } from '../../support/entries.ts'
import { liveBench } from '../../support/live-bench.ts'

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

describe('the alarm "prep time over"', () => {
  it.each([
    [20 - 5 / 60, 'active'],
    [20 - 4 / 60, 'clear'],
    [25, 'clear'],
  ])('planned to minute %d, at minute 20, meter or no meter: %s', (planned, condition) => {
    for (const metered of [true, false]) {
      const live = bubbling({ ozone_off_at_planned: atMinute(planned), metered })
      expect(is('prep-time-over', view(live))).toBe(condition)
    }
  })

  it('ends with ozone off, and is none without a planned time', () => {
    expect(is('prep-time-over', view({ ozone_off_at_planned: atMinute(10) }))).toBe('suppressed')
    expect(is('prep-time-over', view(bubbling({ ozone_off_at_planned: null })))).toBe('suppressed')
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
