/** One thing to ask again and again. */
export interface Question<About> {
  /** Whom it goes to. One that stays silent is asked less often, so that it does not hold up the others. */
  readonly to: string
  /** Answers to all questions of one group could be taken for one another. */
  readonly group: string
  readonly about: About
  readonly bytes: Uint8Array
  readonly everyMs: number
  readonly timeoutMs: number
  /** Further tries when no usable answer came. */
  readonly retries: number
  /** After a time-out, how long nothing more is asked in the group: a late answer must not answer another question. */
  readonly quietMs: number
}

/** A unit that has used up its tries is asked again after this many time-outs. */
const SILENT_TIMEOUTS = 5

interface Entry<About> {
  readonly question: Question<About>
  dueMs: number
  tries: number
}

/** Which question is due. Times are of one steady clock; nothing is asked before `beginMs`. */
export const createSchedule = <About>(questions: readonly Question<About>[], beginMs: number) => {
  const entries = questions.map((question): Entry<About> => ({ question, dueMs: beginMs, tries: 0 }))
  const heldUntil = new Map<string, number>()
  const silentUntil = new Map<string, number>()
  const isShared = new Set(questions.map((q) => q.to)).size > 1

  const readyAt = ({ question, dueMs }: Entry<About>): number =>
    Math.max(dueMs, heldUntil.get(question.group) ?? dueMs, silentUntil.get(question.to) ?? dueMs)

  const soonest = (): Entry<About> | undefined =>
    entries.reduce<Entry<About> | undefined>(
      (first, entry) => (first === undefined || readyAt(entry) < readyAt(first) ? entry : first),
      undefined,
    )

  /** The next time on the question's own beat; beats that were missed are passed over. */
  const nextBeat = ({ question: { everyMs }, dueMs }: Entry<About>, nowMs: number): number =>
    dueMs + everyMs * Math.max(1, Math.ceil((nowMs - dueMs) / everyMs))

  const entryOf = (question: Question<About>) => entries.find((entry) => entry.question === question)

  return {
    readyAtMs: (): number | undefined => {
      const entry = soonest()
      return entry && readyAt(entry)
    },
    /** The question that is due now, the one longest due first. */
    due: (nowMs: number): Question<About> | undefined => {
      const entry = soonest()
      return entry && readyAt(entry) <= nowMs ? entry.question : undefined
    },
    settled: (question: Question<About>, nowMs: number): void => {
      const entry = entryOf(question)
      if (!entry) return
      entry.dueMs = nextBeat(entry, nowMs)
      entry.tries = 0
    },
    /** No usable answer. After a time-out (`mayBeLate`) an answer may still be on its way. */
    failed: (question: Question<About>, nowMs: number, mayBeLate: boolean): void => {
      const entry = entryOf(question)
      if (!entry) return
      entry.tries += 1
      const isLast = entry.tries > question.retries
      if (mayBeLate) heldUntil.set(question.group, nowMs + question.quietMs)
      if (!isLast) return
      if (mayBeLate && isShared) silentUntil.set(question.to, nowMs + SILENT_TIMEOUTS * question.timeoutMs)
      entry.tries = 0
      entry.dueMs = nextBeat(entry, nowMs)
    },
  }
}
