import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  type AlarmInput,
  type AlarmMemory,
  AT_REST,
  type Condition,
  stepAlarm,
} from '../../../server/alarm/alarm-state.ts'

const AT_EASE = { condition: 'clear', suppressed: false, outOfService: false, handling: null } as const
const ACKNOWLEDGE = { handling: { kind: 'acknowledge' } } as const
const DELAYS = { onDelayMs: 10_000, offDelayMs: 30_000 }

/** Plays inputs a second apart, and gives the state after each. */
const play = (inputs: readonly Partial<AlarmInput>[], from: AlarmMemory = AT_REST) => {
  let memory = from
  return inputs.map((input, i) => {
    memory = stepAlarm(memory, { ...AT_EASE, nowMs: i * 1000, ...input }, DELAYS).memory
    return memory.state
  })
}
const lasting = (seconds: number, input: Partial<AlarmInput>) => Array.from({ length: seconds }, () => input)
const active = { condition: 'active' } as const
const clear = { condition: 'clear' } as const
const last = (states: readonly string[]) => states.at(-1)

describe('an alarm', () => {
  it('is announced only after the condition has lasted the on-delay', () => {
    expect(last(play(lasting(10, active)))).toBe('normal')
    expect(last(play(lasting(11, active)))).toBe('unacknowledged')
  })

  it('is not announced by a condition that comes and goes', () => {
    expect(new Set(play(Array.from({ length: 60 }, (_, i) => (i % 5 === 4 ? clear : active))))).toEqual(
      new Set(['normal']),
    )
  })

  it('goes from unacknowledged to acknowledged to normal', () => {
    const states = play([...lasting(11, active), { ...active, ...ACKNOWLEDGE }, ...lasting(31, clear)])
    expect(states[11]).toBe('acknowledged')
    expect(last(states)).toBe('normal')
  })

  it('that clears before anybody saw it stays until it is acknowledged', () => {
    const cleared = [...lasting(11, active), ...lasting(31, clear)]
    expect(last(play(cleared))).toBe('returned-unacknowledged')
    expect(last(play([...cleared, { ...clear, ...ACKNOWLEDGE }]))).toBe('normal')
  })

  it('that returns before it was acknowledged is announced again', () => {
    expect(last(play([...lasting(11, active), ...lasting(31, clear), ...lasting(11, active)]))).toBe(
      'unacknowledged',
    )
  })

  it('does not change inside the deadband', () => {
    expect(last(play([...lasting(11, active), ...lasting(100, { condition: 'between' })]))).toBe(
      'unacknowledged',
    )
    expect(last(play(lasting(100, { condition: 'between' })))).toBe('normal')
  })

  it('is suppressed by design and starts anew afterwards', () => {
    const states = play([
      ...lasting(11, active),
      { ...active, suppressed: true },
      ...lasting(10, active),
      active,
    ])
    expect(states[11]).toBe('suppressed-by-design')
    expect(states[12]).toBe('normal')
    expect(last(states)).toBe('unacknowledged')
  })

  /** Conditions that last: single random seconds would never get past a delay. */
  const runs = (acknowledge: boolean) =>
    fc
      .array(
        fc.record({
          condition: fc.constantFrom<Condition>('active', 'clear', 'between', 'unknown'),
          seconds: fc.integer({ min: 1, max: 45 }),
          acknowledge: acknowledge ? fc.boolean() : fc.constant(false),
        }),
        { minLength: 1, maxLength: 12 },
      )
      .map((steps) =>
        steps.flatMap(({ condition, seconds, acknowledge }) => [
          ...lasting(seconds, { condition }),
          { condition, ...(acknowledge ? ACKNOWLEDGE : {}) },
        ]),
      )

  it('is never cleared by a lost signal, whatever came before', () => {
    let alarms = 0
    fc.assert(
      fc.property(runs(true), fc.integer({ min: 1, max: 120 }), (before, lost) => {
        const state = last(play(before)) ?? 'normal'
        if (state !== 'normal') alarms += 1
        expect(last(play([...before, ...lasting(lost, { condition: 'unknown' })]))).toBe(state)
      }),
      { numRuns: 300 },
    )
    // the property says nothing about runs that never got to an alarm
    expect(alarms).toBeGreaterThan(50)
  })

  it('never loses an unacknowledged state without an acknowledgement', () => {
    let alarms = 0
    fc.assert(
      fc.property(runs(false), (inputs) => {
        const states = play(inputs)
        const first = states.indexOf('unacknowledged')
        if (first < 0) return
        alarms += 1
        for (const state of states.slice(first))
          expect(['unacknowledged', 'returned-unacknowledged']).toContain(state)
      }),
      { numRuns: 300 },
    )
    expect(alarms).toBeGreaterThan(50)
  })
})
