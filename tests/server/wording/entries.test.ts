import { describe, expect, it } from 'vitest'
import {
  atDrawWords,
  entryHead,
  entryLines,
  entryWords,
  tickedSteps,
} from '../../../server/wording/entries.ts'
import { estimateText } from '../../../server/wording/estimates.ts'
import { benchPath, recordPath, routeOf } from '../../../web/route.ts'
import { FAKE_ENTRIES, fakeEntry } from '../../support/fake-entries.ts'

const NOW = Date.parse('2026-03-04T13:00:00Z')

describe('entries', () => {
  it('keep what was taken back, marked', () => {
    const lines = entryLines(FAKE_ENTRIES(NOW))
    expect(lines.filter((l) => l.undone).map((l) => l.entry.kind)).toEqual(['ozone-off'])
    expect(lines).toHaveLength(FAKE_ENTRIES(NOW).length)
  })

  it('carry their corrections', () => {
    const corrected = entryLines(FAKE_ENTRIES(NOW)).find((l) => l.corrections.length > 0)
    expect(corrected?.entry.kind).toBe('flow-off')
  })

  it('let a tick count only while it is not taken back', () => {
    const tick = fakeEntry(NOW, { kind: 'step-ticked', data: { step: 'stay', text: 'x' } })
    const undo = fakeEntry(NOW, {
      id: '01900000-0000-7000-8000-0000000000fe',
      kind: 'undone',
      data: { entry: tick.id },
    })
    expect([...tickedSteps([tick]).keys()]).toEqual(['stay'])
    expect(tickedSteps([tick, undo]).size).toBe(0)
  })

  it('give a draw-up its value at draw, with band and calibration, or say that it is not known', () => {
    const drawn = FAKE_ENTRIES(NOW).find((e) => e.kind === 'drawn-up')
    expect(atDrawWords(drawn?.data ?? {})).toBe('at draw 19.1 µg/mL (18.5 to 19.7), calibrated')
    expect(atDrawWords({ at_draw: null })).toBe('value at draw not known')
    const estimate = { value_mg_l: 17, low_mg_l: null, high_mg_l: null, basis: 'estimate', calibrated: false }
    expect(atDrawWords({ at_draw: estimate })).toBe(
      'at draw 17.0 µg/mL, an estimate, not measured, uncalibrated',
    )
  })

  it('say the uncertainty of a reading by hand when it was stated', () => {
    const reading = FAKE_ENTRIES(NOW).find((e) => e.kind === 'reading-by-hand')
    expect(reading && entryWords(reading)).toBe('18.9 mg/L by test kit, ± 6 % (1 s)')
  })
})

describe('entries of alarms', () => {
  const said = (from: string, to: string, who = 'Spargewatch'): string => {
    const entry = fakeEntry(NOW, {
      kind: 'alarm',
      who: { name: who, how: who === 'Spargewatch' ? 'program' : 'typed' },
      data: { alarm: 'instrument-silent', from, to, priority: 'medium', text: 'The meter is silent' },
    })
    return `${entryHead(entry)}: ${entryWords(entry)}`
  }

  it('say what changed, and who changed it when a person did', () => {
    expect(said('normal', 'unacknowledged')).toBe('Alarm raised: The meter is silent')
    expect(said('unacknowledged', 'acknowledged', 'M. Example')).toBe(
      'Alarm acknowledged: The meter is silent by M. Example',
    )
    expect(said('unacknowledged', 'returned-unacknowledged')).toBe(
      'Alarm returned to normal, not yet acknowledged: The meter is silent',
    )
    expect(said('acknowledged', 'normal')).toBe('Alarm returned to normal: The meter is silent')
    expect(said('returned-unacknowledged', 'normal', 'M. Example')).toBe(
      'Alarm acknowledged after it had returned to normal: The meter is silent by M. Example',
    )
    expect(said('unacknowledged', 'suppressed-by-design')).toBe(
      'Alarm suppressed by design: The meter is silent',
    )
    expect(said('suppressed-by-design', 'normal')).toBe('Alarm no longer suppressed: The meter is silent')
  })

  it('say both states of a change that has no words of its own', () => {
    expect(said('latched-here', 'some-new-state')).toBe(
      'Alarm, from latched here to some new state: The meter is silent',
    )
  })
})

describe('fitted numbers', () => {
  const none = { value: null, low: null, high: null, bound: null, why: null }
  it('never travel without their interval', () => {
    expect(estimateText({ ...none, value: 24.1, low: 23.9, high: 24.3 }, 1)).toBe('24.1 (23.9 to 24.3)')
    expect(estimateText({ ...none, value: 24.1 }, 1)).toBe('24.1 (no interval)')
  })

  it('stay a bound when they are one', () => {
    expect(estimateText({ ...none, low: 31, bound: 'at-least', why: 'clipped' }, 1)).toBe(
      'at least 31.0 (the meter is at the top of its range)',
    )
    expect(estimateText({ ...none, value: 4.9, bound: 'at-most' }, 1)).toBe('at most 4.9')
  })

  it('say why there is none', () => {
    expect(estimateText({ ...none, why: 'probe-lag-unknown' }, 1)).toBe(
      'not given (the probe’s response time is not known)',
    )
    expect(estimateText(null, 1)).toBe('–')
  })
})

describe('addresses', () => {
  it('name a screen', () => {
    expect(routeOf('/')).toEqual({ screen: 'benches' })
    expect(routeOf('/bench/A%2F1')).toEqual({ screen: 'bench', bench: 'A/1' })
    expect(routeOf('/batches/x')).toEqual({ screen: 'record', batch: 'x' })
    for (const path of ['/nowhere', '/alarms/x', '/bench', '/a/b/c'])
      expect(routeOf(path), path).toEqual({ screen: 'unknown' })
  })

  it('come back to the same bench and batch whatever their names hold', () => {
    for (const name of ['A', 'a b', 'ä/ö?#', '%']) {
      expect(routeOf(benchPath(name))).toEqual({ screen: 'bench', bench: name })
      expect(routeOf(recordPath(name))).toEqual({ screen: 'record', batch: name })
    }
  })

  it('survive a broken escape', () => {
    expect(routeOf('/bench/%E0%A4%A')).toEqual({ screen: 'bench', bench: '%E0%A4%A' })
  })
})
