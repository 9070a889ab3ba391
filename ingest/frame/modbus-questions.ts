import type { RegisterQuestion } from './modbus-framer.ts'
import {
  answersLookAlike,
  MOST_REGISTERS,
  type ReadRequest,
  type RegisterTable,
  requestBytes,
} from './modbus-request.ts'
import type { Question } from './question-schedule.ts'

/** Registers that somebody wants, of one unit. */
export interface Wanted {
  readonly table: RegisterTable
  readonly start: number
  readonly count: number
}

export interface PolledUnit {
  readonly by: string
  readonly address: number
  readonly everyMs: number
  readonly wanted: readonly Wanted[]
}

/** How long an answer is waited for, and how often it is tried again. */
export interface Patience {
  readonly timeoutMs: number
  readonly retries: number
}

/** Answers that look alike are told apart by time alone; then a unit is left alone this much longer after a time-out. */
const LONGER_WHEN_ALIKE = 5

/** As few requests as possible: neighbouring registers together, never one that nobody wants (it may not exist). */
export const modbusQuestions = (
  units: readonly PolledUnit[],
  { timeoutMs, retries }: Patience,
): Question<RegisterQuestion>[] => {
  const questions = units.flatMap((unit) =>
    blocksOf(unit.wanted).map((block) => ({ unit, request: { address: unit.address, ...block } })),
  )
  const isUnlikeAllOthers = (request: ReadRequest) =>
    questions.every((other) => other.request === request || !answersLookAlike(other.request, request))
  return questions.map(({ unit, request }) => ({
    to: `unit ${unit.address}`,
    group: `unit ${unit.address}`,
    about: { by: unit.by, request },
    bytes: requestBytes(request),
    everyMs: unit.everyMs,
    timeoutMs,
    retries,
    quietMs: timeoutMs * (isUnlikeAllOthers(request) ? 1 : LONGER_WHEN_ALIKE),
  }))
}

const blocksOf = (wanted: readonly Wanted[]): Wanted[] => {
  const blocks: Wanted[] = []
  for (const next of [...wanted].sort((a, b) => a.table.localeCompare(b.table) || a.start - b.start)) {
    const last = blocks.at(-1)
    const joined = last && join(last, next)
    if (joined) blocks[blocks.length - 1] = joined
    else blocks.push(next)
  }
  return blocks
}

/** Both as one, when no register lies between them and the whole is not too long. */
const join = (first: Wanted, second: Wanted): Wanted | undefined => {
  if (first.table !== second.table || second.start > first.start + first.count) return undefined
  const count = Math.max(first.start + first.count, second.start + second.count) - first.start
  return count > MOST_REGISTERS ? undefined : { table: first.table, start: first.start, count }
}
