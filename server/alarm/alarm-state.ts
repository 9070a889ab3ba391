/**
 * One alarm as a pure state machine: (memory, input) → (memory, transition).
 * States are those of ANSI/ISA-18.2. Time is a steadily counting clock in ms, never the wall clock.
 */
export type AlarmStateName =
  | 'normal'
  | 'unacknowledged'
  | 'acknowledged'
  | 'returned-unacknowledged'
  | 'suppressed-by-design'

export interface AlarmMemory {
  readonly state: AlarmStateName
  /** Since when the condition has been there without a break; null while it is not. */
  readonly activeSinceMs: number | null
  /** Since when it has been gone without a break. */
  readonly clearSinceMs: number | null
}

export interface AlarmDelays {
  /** The condition must last this long before it is announced. */
  readonly onDelayMs: number
  /** It must be gone this long before it counts as returned to normal. */
  readonly offDelayMs: number
}

/**
 * `unknown`: the signal behind the condition is lost. It freezes the alarm where it is: a lost signal neither
 * raises nor clears. `between`: inside the deadband, which also changes nothing.
 */
export type Condition = 'active' | 'clear' | 'between' | 'unknown'

export interface AlarmInput {
  readonly condition: Condition
  /** Suppressed by design: the alarm makes no sense in this phase of the work. */
  readonly suppressed: boolean
  readonly acknowledge: boolean
  readonly nowMs: number
}

export interface AlarmStep {
  readonly memory: AlarmMemory
  /** The state left, when it changed. */
  readonly from: AlarmStateName | null
}

export const AT_REST: AlarmMemory = { state: 'normal', activeSinceMs: null, clearSinceMs: null }

export const stepAlarm = (memory: AlarmMemory, input: AlarmInput, delays: AlarmDelays): AlarmStep => {
  const timed = countDelays(memory, input)
  const state = nextState(timed, input, delays)
  return { memory: { ...timed, state }, from: state === memory.state ? null : memory.state }
}

const countDelays = (memory: AlarmMemory, { condition, suppressed, nowMs }: AlarmInput): AlarmMemory => {
  if (suppressed) return { ...memory, activeSinceMs: null, clearSinceMs: null }
  switch (condition) {
    case 'active':
      return { ...memory, activeSinceMs: memory.activeSinceMs ?? nowMs, clearSinceMs: null }
    case 'clear':
      return { ...memory, activeSinceMs: null, clearSinceMs: memory.clearSinceMs ?? nowMs }
    case 'between':
    case 'unknown':
      // the delay starts anew once the condition can be told again
      return { ...memory, activeSinceMs: null, clearSinceMs: null }
  }
}

const nextState = (memory: AlarmMemory, input: AlarmInput, delays: AlarmDelays): AlarmStateName => {
  if (input.suppressed) return 'suppressed-by-design'
  const raised = memory.activeSinceMs !== null && input.nowMs - memory.activeSinceMs >= delays.onDelayMs
  const cleared = memory.clearSinceMs !== null && input.nowMs - memory.clearSinceMs >= delays.offDelayMs
  switch (memory.state) {
    case 'suppressed-by-design':
    case 'normal':
      return raised ? 'unacknowledged' : 'normal'
    case 'unacknowledged':
      if (input.acknowledge) return cleared ? 'normal' : 'acknowledged'
      return cleared ? 'returned-unacknowledged' : 'unacknowledged'
    case 'acknowledged':
      return cleared ? 'normal' : 'acknowledged'
    case 'returned-unacknowledged':
      if (raised) return 'unacknowledged'
      return input.acknowledge ? 'normal' : 'returned-unacknowledged'
  }
}
