import { describe, expect, it } from 'vitest'
import { nextStep } from '../../../server/live/next-step.ts'
import type { LiveBench } from '../../../server/wire.ts'
import { atMinute } from '../../support/entries.ts'
import { liveBench } from '../../support/live-bench.ts'

const words = { time: (iso: string) => iso.slice(11, 16) }
const step = (changes: Partial<LiveBench>) => nextStep(liveBench(changes), words)
const standing = liveBench()
const inPhase = (kind: LiveBench['phase']['kind'], more: Partial<LiveBench> = {}) =>
  step({ phase: { kind, since: atMinute(1) }, ...more })

describe('the next step', () => {
  it('leads through the job one action at a time', () => {
    expect(step({ batch: null, phase: { kind: 'no-batch', since: null } }).action).toBe('open')
    expect(inPhase('set-up').action).toBe('ozone-on')
    expect(inPhase('bubbling', { ozone_off_at_planned: atMinute(25) })).toEqual({
      text: 'Ozone off at 09:25, as planned.',
      action: 'ozone-off',
    })
    expect(inPhase('bubbling', { ozone_off_at_planned: atMinute(15) }).text).toContain('Ozone off now')
    expect(inPhase('purge')).toEqual({
      text: 'Take the tube clear of the fluid while gas still flows, then shut the flow.',
      action: 'flow-off',
    })
    expect(step({})).toEqual({ text: 'Draw up before 09:26, or discard.', action: 'draw-up' })
  })

  it('is to stop the ozone and leave while the air of the room may not be breathed, whatever the batch asks for', () => {
    const alarm = (name: string, state: LiveBench['alarms'][number]['state']) => ({
      ...{ key: `A:${name}`, alarm: name, bench: 'A', batch: null, priority: 'high' as const, state },
      ...{ since: atMinute(20), text: '', what_to_do: '', acknowledged_by: null, acknowledged_at: null },
      ...{ shelved_until: null, may_be_shelved: false },
    })
    const inAir = (kind: LiveBench['phase']['kind'], alarms: LiveBench['alarms']) =>
      nextStep(liveBench({ phase: { kind, since: atMinute(1) } }), words, alarms)
    const out = 'Ozone off. Everyone out. Ventilate.'
    for (const name of ['room-ozone-ceiling', 'room-ozone-8-h'])
      for (const state of ['unacknowledged', 'acknowledged'] as const) {
        expect(inAir('bubbling', [alarm(name, state)])).toEqual({ text: out, action: 'ozone-off' })
        expect(inAir('standing', [alarm(name, state)])).toEqual({ text: out, action: null })
        expect(inAir('no-batch', [alarm(name, state)]).text).toBe(out)
      }
    expect(inAir('standing', [alarm('room-ozone-ceiling', 'returned-unacknowledged')]).action).toBe('draw-up')
    expect(inAir('standing', [alarm('temperature-off-plan', 'unacknowledged')]).action).toBe('draw-up')
  })

  it('names the early bound, never the expected time, as the time to draw up before', () => {
    expect(step({}).text).not.toContain('09:31')
  })

  it('does not call a value below that is too close to say, and still points to discard', () => {
    const close = step({
      decision: 'too-close-to-say',
      forecast: { ...standing.forecast, state: 'below-target' },
    })
    expect(close).toEqual({
      text: 'The best estimate is below the value you set. Discard, or measure again.',
      action: 'discard',
    })
  })

  it('is to discard when the value is below what was set, or nothing is left', () => {
    expect(step({ decision: 'below' }).action).toBe('discard')
    expect(step({ batch: standing.batch && { ...standing.batch, left_ml: 0 } }).action).toBe('discard')
  })

  it('is to look at the meter when the value is not live, whatever the phase', () => {
    expect(step({ potency: { ...standing.potency, state: 'stale' } }).text).toMatch(/stopped sending/)
    expect(step({ potency: { ...standing.potency, state: 'fault' } }).text).toMatch(/Check the meter/)
  })

  it('is to take another reading where values are typed in, never to check a meter that is not there', () => {
    expect(step({ metered: false, potency: { ...standing.potency, state: 'stale' } }).text).toMatch(
      /take another reading/,
    )
  })

  it('offers what the signal shows when nobody entered it', () => {
    const rise = {
      kind: 'rise',
      status: 'fitted',
      why: null,
      start: atMinute(3),
      end: atMinute(5),
      plateau_mg_l: null,
      rate_per_min: null,
      t95_min: null,
      half_life_min: null,
      half_life_20c_min: null,
      lost_percent: null,
      fraction_of_plateau: null,
      order: null,
      residual_sd_mg_l: null,
      n: 9,
      n_eff: null,
      notes: [],
    } as const
    expect(inPhase('set-up', { fits: [{ ...rise, notes: [] }] }).text).toBe(
      'The reading rises since 09:03. Ozone on? Enter it.',
    )
  })

  it('never says that anything is safe, good, OK or ready', () => {
    const phases = ['no-batch', 'set-up', 'bubbling', 'purge', 'standing', 'discarded'] as const
    const decisions = [
      'above',
      'below',
      'too-close-to-say',
      'not-calibrated',
      'no-target',
      'no-value',
    ] as const
    const texts = phases.flatMap((kind) => decisions.map((decision) => inPhase(kind, { decision }).text))
    for (const text of texts) expect(text).not.toMatch(/\b(safe|good|ok|ready)\b/i)
  })
})
