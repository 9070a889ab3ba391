/**
 * One alarm as a pure state machine: (memory, input) → (memory, transition).
 * States are those of ANSI/ISA-18.2. Time is a steadily counting clock in ms, never the wall clock.
 */
export type AlarmStateName =
  | 'normal'
  | 'unacknowledged'
  | 'acknowledged'
  | 'returned-unacknowledged'
  | 'shelved'
  | 'suppressed-by-design'
  | 'out-of-service'

export interface AlarmMemory {
  readonly state: AlarmStateName
  /** Since when the condition has been there without a break; null while it is not. */
  readonly activeSinceMs: number | null
  /** Since when it has been gone without a break. */
  readonly clearSinceMs: number | null
  /** While shelved: until when. */
  readonly shelvedUntilMs: number | null
  /** Before it was shelved or taken out of service it stood there and nothing has shown since that it is over. */
  readonly isUnderneath: boolean
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

export type Handling =
  | { readonly kind: 'acknowledge' }
  | { readonly kind: 'shelve'; readonly forMs: number }
  | { readonly kind: 'unshelve' }

export interface AlarmInput {
  readonly condition: Condition
  /** Suppressed by design: the alarm makes no sense in this phase of the work. */
  readonly suppressed: boolean
  /** Taken out of service by a person who may. */
  readonly outOfService: boolean
  /** What a person does with it at this look. */
  readonly handling: Handling | null
  readonly nowMs: number
}

export interface AlarmStep {
  readonly memory: AlarmMemory
  /** The state left, when it changed. */
  readonly from: AlarmStateName | null
}

export const AT_REST: AlarmMemory = {
  state: 'normal',
  activeSinceMs: null,
  clearSinceMs: null,
  shelvedUntilMs: null,
  isUnderneath: false,
}

/** Out of service stands before suppressed by design, that before shelved, that before everything the process does. */
export const stepAlarm = (before: AlarmMemory, input: AlarmInput, delays: AlarmDelays): AlarmStep => {
  const timed = countDelays(before, input)
  const told = toldOf(timed, input.nowMs, delays)
  const memory = setAside(timed, input, told) ?? inUse(timed, input, told)
  return { memory, from: memory.state === before.state ? null : before.state }
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

interface Told {
  readonly raised: boolean
  readonly cleared: boolean
}

const toldOf = (memory: AlarmMemory, nowMs: number, delays: AlarmDelays): Told => ({
  raised: memory.activeSinceMs !== null && nowMs - memory.activeSinceMs >= delays.onDelayMs,
  cleared: memory.clearSinceMs !== null && nowMs - memory.clearSinceMs >= delays.offDelayMs,
})

const STANDING: ReadonlySet<AlarmStateName> = new Set(['unacknowledged', 'acknowledged'])

/** Undefined when nothing keeps the alarm from people. */
const setAside = (memory: AlarmMemory, input: AlarmInput, { raised }: Told): AlarmMemory | undefined => {
  const isUnderneath =
    raised || STANDING.has(memory.state) || (memory.isUnderneath && memory.clearSinceMs === null)
  if (input.outOfService) return { ...memory, state: 'out-of-service', shelvedUntilMs: null, isUnderneath }
  // in a phase where it makes no sense there is nothing underneath either
  if (input.suppressed)
    return { ...memory, state: 'suppressed-by-design', shelvedUntilMs: null, isUnderneath: false }
  const until = input.handling?.kind === 'shelve' ? input.nowMs + input.handling.forMs : memory.shelvedUntilMs
  if (until === null || input.nowMs >= until || input.handling?.kind === 'unshelve') return undefined
  return { ...memory, state: 'shelved', shelvedUntilMs: until, isUnderneath }
}

const inUse = (memory: AlarmMemory, input: AlarmInput, told: Told): AlarmMemory => ({
  ...memory,
  state: nextState(memory, input, told),
  shelvedUntilMs: null,
  isUnderneath: false,
})

const nextState = (memory: AlarmMemory, input: AlarmInput, { raised, cleared }: Told): AlarmStateName => {
  const acknowledge = input.handling?.kind === 'acknowledge'
  switch (memory.state) {
    case 'shelved':
    case 'out-of-service':
      // back among people: announced again if it is there, or was and nothing has shown that it is over
      return raised || (memory.isUnderneath && memory.clearSinceMs === null) ? 'unacknowledged' : 'normal'
    case 'suppressed-by-design':
    case 'normal':
      return raised ? 'unacknowledged' : 'normal'
    case 'unacknowledged':
      if (acknowledge) return cleared ? 'normal' : 'acknowledged'
      return cleared ? 'returned-unacknowledged' : 'unacknowledged'
    case 'acknowledged':
      return cleared ? 'normal' : 'acknowledged'
    case 'returned-unacknowledged':
      if (raised) return 'unacknowledged'
      return acknowledge ? 'normal' : 'returned-unacknowledged'
  }
}
