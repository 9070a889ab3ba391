import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  type AlarmInput,
  type AlarmMemory,
  type AlarmStateName,
  AT_REST,
  type Handling,
  stepAlarm,
} from '../../../server/alarm/alarm-state.ts'

/** No delays: what counts here is which state follows which. */
const NOW = { onDelayMs: 0, offDelayMs: 0 }
const AT_EASE = { condition: 'clear', suppressed: false, outOfService: false, handling: null } as const
const ACTIVE = { condition: 'active' } as const
const CLEAR = { condition: 'clear' } as const
const LOST = { condition: 'unknown' } as const
const does = (handling: Handling) => ({ handling })
const ACKNOWLEDGE = does({ kind: 'acknowledge' })
const SHELVE = does({ kind: 'shelve', forMs: 10_000 })
const UNSHELVE = does({ kind: 'unshelve' })
const OUT = { outOfService: true }
const SUPPRESSED = { suppressed: true }

const play = (inputs: readonly Partial<AlarmInput>[], from: AlarmMemory = AT_REST): AlarmMemory =>
  inputs.reduce<AlarmMemory>(
    (memory, input, i) => stepAlarm(memory, { ...AT_EASE, nowMs: i * 1000, ...input }, NOW).memory,
    from,
  )

/** How each state is reached from rest. */
const WAY: Readonly<Record<AlarmStateName, readonly Partial<AlarmInput>[]>> = {
  normal: [CLEAR],
  unacknowledged: [ACTIVE],
  acknowledged: [ACTIVE, { ...ACTIVE, ...ACKNOWLEDGE }],
  'returned-unacknowledged': [ACTIVE, CLEAR],
  shelved: [ACTIVE, { ...ACTIVE, ...SHELVE }],
  'suppressed-by-design': [{ ...ACTIVE, ...SUPPRESSED }],
  'out-of-service': [ACTIVE, { ...ACTIVE, ...OUT }],
}

/**
 * The state diagram of ANSI/ISA-18.2-2016 (IEC 62682:2014), alarm states A to D and G to I, without the optional latched
 * states E and F. From memory of the published diagram.
 */
const DIAGRAM: readonly (readonly [AlarmStateName, string, Partial<AlarmInput>, AlarmStateName])[] = [
  ['normal', 'alarm occurs', ACTIVE, 'unacknowledged'],
  ['normal', 'nothing', CLEAR, 'normal'],
  ['unacknowledged', 'acknowledged', { ...ACTIVE, ...ACKNOWLEDGE }, 'acknowledged'],
  ['unacknowledged', 'returns to normal', CLEAR, 'returned-unacknowledged'],
  ['unacknowledged', 'acknowledged as it returns', { ...CLEAR, ...ACKNOWLEDGE }, 'normal'],
  ['acknowledged', 'returns to normal', CLEAR, 'normal'],
  ['acknowledged', 'acknowledged again', { ...ACTIVE, ...ACKNOWLEDGE }, 'acknowledged'],
  ['returned-unacknowledged', 'acknowledged', { ...CLEAR, ...ACKNOWLEDGE }, 'normal'],
  ['returned-unacknowledged', 'alarm occurs again', ACTIVE, 'unacknowledged'],
  ['normal', 'shelved', { ...CLEAR, ...SHELVE }, 'shelved'],
  ['unacknowledged', 'shelved', { ...ACTIVE, ...SHELVE }, 'shelved'],
  ['acknowledged', 'shelved', { ...ACTIVE, ...SHELVE }, 'shelved'],
  ['returned-unacknowledged', 'shelved', { ...CLEAR, ...SHELVE }, 'shelved'],
  ['shelved', 'unshelved while there', { ...ACTIVE, ...UNSHELVE }, 'unacknowledged'],
  ['shelved', 'unshelved while gone', { ...CLEAR, ...UNSHELVE }, 'normal'],
  ['shelved', 'unshelved while the signal is lost', { ...LOST, ...UNSHELVE }, 'unacknowledged'],
  ['shelved', 'its time over', { ...ACTIVE, nowMs: 20_000 }, 'unacknowledged'],
  ['shelved', 'its time over, gone', { ...CLEAR, nowMs: 20_000 }, 'normal'],
  ['shelved', 'comes and goes', CLEAR, 'shelved'],
  ['shelved', 'acknowledged', { ...ACTIVE, ...ACKNOWLEDGE }, 'shelved'],
  ['normal', 'suppressed by design', SUPPRESSED, 'suppressed-by-design'],
  ['unacknowledged', 'suppressed by design', { ...ACTIVE, ...SUPPRESSED }, 'suppressed-by-design'],
  ['acknowledged', 'suppressed by design', { ...ACTIVE, ...SUPPRESSED }, 'suppressed-by-design'],
  ['returned-unacknowledged', 'suppressed by design', SUPPRESSED, 'suppressed-by-design'],
  ['suppressed-by-design', 'no longer, while there', ACTIVE, 'unacknowledged'],
  ['suppressed-by-design', 'no longer, while gone', CLEAR, 'normal'],
  ['normal', 'taken out of service', OUT, 'out-of-service'],
  ['unacknowledged', 'taken out of service', { ...ACTIVE, ...OUT }, 'out-of-service'],
  ['acknowledged', 'taken out of service', { ...ACTIVE, ...OUT }, 'out-of-service'],
  ['returned-unacknowledged', 'taken out of service', OUT, 'out-of-service'],
  ['shelved', 'taken out of service', { ...ACTIVE, ...OUT }, 'out-of-service'],
  ['suppressed-by-design', 'taken out of service', { ...SUPPRESSED, ...OUT }, 'out-of-service'],
  ['out-of-service', 'back in service while there', ACTIVE, 'unacknowledged'],
  ['out-of-service', 'back in service while gone', CLEAR, 'normal'],
  ['out-of-service', 'back in service while the signal is lost', LOST, 'unacknowledged'],
  ['out-of-service', 'its condition changes', { ...CLEAR, ...OUT }, 'out-of-service'],
]

describe('the state diagram of the standard', () => {
  it.each(DIAGRAM)('%s, %s', (from, _what, input, to) => {
    const before = play(WAY[from])
    expect(before.state).toBe(from)
    const nowMs = input.nowMs ?? 5000
    expect(stepAlarm(before, { ...AT_EASE, ...input, nowMs }, NOW).memory.state).toBe(to)
  })

  it('is drawn whole: every state is left and reached', () => {
    expect(new Set(DIAGRAM.map(([from]) => from))).toEqual(new Set(Object.keys(WAY)))
    expect(new Set(DIAGRAM.map(([, , , to]) => to))).toEqual(new Set(Object.keys(WAY)))
  })
})

describe('a shelved alarm', () => {
  it('that was raised while it was shelved is announced when its time is over, signal or no signal', () => {
    const shelved = [{ ...CLEAR, ...SHELVE }, ACTIVE, ACTIVE, LOST]
    expect(play(shelved).state).toBe('shelved')
    expect(play([...shelved, ...Array(10).fill(LOST)]).state).toBe('unacknowledged')
  })

  it('that went while it was shelved is not announced', () => {
    expect(play([ACTIVE, { ...ACTIVE, ...SHELVE }, CLEAR, ...Array(12).fill(LOST)]).state).toBe('normal')
  })

  it('may be shelved again for longer', () => {
    const again = [ACTIVE, { ...ACTIVE, ...SHELVE }, ...Array(5).fill(ACTIVE), { ...ACTIVE, ...SHELVE }]
    expect(play([...again, ...Array(8).fill(ACTIVE)]).state).toBe('shelved')
    expect(play([...again, ...Array(11).fill(ACTIVE)]).state).toBe('unacknowledged')
  })
})

const anything: fc.Arbitrary<Partial<AlarmInput>> = fc.record({
  condition: fc.constantFrom('active', 'clear', 'between', 'unknown'),
  handling: fc.constantFrom<Handling | null>(
    null,
    null,
    null,
    { kind: 'acknowledge' },
    { kind: 'shelve', forMs: 3000 },
    { kind: 'unshelve' },
  ),
  outOfService: fc.boolean(),
})

describe('whatever happens', () => {
  it('an alarm that is there and is kept from nobody waits for a person', () => {
    fc.assert(
      fc.property(fc.array(anything, { maxLength: 40 }), (inputs) => {
        const before = play(inputs)
        const after = stepAlarm(before, { ...AT_EASE, ...ACTIVE, nowMs: 1e9 }, NOW).memory
        // acknowledged counts only where it was acknowledged before; everything else is announced
        expect(after.state).toBe(before.state === 'acknowledged' ? 'acknowledged' : 'unacknowledged')
      }),
      { numRuns: 500 },
    )
  })

  it('a lost signal alone changes nothing that people see, but for what is no longer shelved', () => {
    fc.assert(
      fc.property(fc.array(anything, { maxLength: 40 }), (inputs) => {
        const before = play(inputs)
        const after = stepAlarm(before, { ...AT_EASE, ...LOST, nowMs: 40_000 }, NOW).memory
        if (before.state === 'shelved' || before.state === 'out-of-service')
          expect(['unacknowledged', 'normal']).toContain(after.state)
        else expect(after.state).toBe(before.state)
      }),
      { numRuns: 500 },
    )
  })
})
