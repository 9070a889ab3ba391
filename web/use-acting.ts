import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Act, Acted, Action, Problem } from '../server/wire.ts'
import { ENTRY_TEXT } from '../server/wording/entries.ts'
import { actOf, behindProgram, type When } from './acting.ts'
import { type Answer, post } from './ask.ts'
import { useActor, useWho } from './who.ts'

export interface ToDo {
  readonly entry: Action
  readonly when: When
  readonly now_ms: number
  readonly expected_seq: number
  /** The batch; made here when a new one is opened. */
  readonly batch: string
  readonly why?: string
}

export type Doing =
  | { readonly kind: 'idle' }
  | { readonly kind: 'sending'; readonly act: Act; readonly batch: string }
  | { readonly kind: 'entered'; readonly acted: Acted; readonly at_mono_ms: number }
  | { readonly kind: 'taken-back'; readonly what: string }
  | { readonly kind: 'problem'; readonly act: Act; readonly batch: string; readonly problem: Problem }

export interface Acting {
  readonly doing: Doing
  /** The answer, or null when it was not entered. */
  readonly send: (todo: ToDo) => Promise<Acted | null>
  /** Sends the same entry, same id, again after no answer came. */
  readonly again: () => Promise<Acted | null>
  readonly undo: () => Promise<Acted | null>
  readonly forget: () => void
}

/** One bench's entries: sending, the ten seconds of undo, and what the server refused. */
export const useActing = (bench: string): Acting => {
  const [name] = useWho()
  const who = useActor().kind === 'display' ? null : name
  const [doing, setDoing] = useState<Doing>({ kind: 'idle' })

  const put = async (act: Act, batch: string, takenBack?: string): Promise<Acted | null> => {
    setDoing({ kind: 'sending', act, batch })
    const answer = await sendEntry(act, batch)
    if (answer.kind === 'problem') setDoing({ kind: 'problem', act, batch, problem: answer.problem })
    else if (takenBack !== undefined) setDoing({ kind: 'taken-back', what: takenBack })
    else setDoing({ kind: 'entered', acted: answer.value, at_mono_ms: performance.now() })
    return answer.kind === 'answer' ? answer.value : null
  }

  return {
    doing,
    send: ({ entry, batch, ...rest }) => put(actOf(entry, { id: v7(), bench, who, ...rest }), batch),
    again: () => {
      if (doing.kind !== 'problem') return Promise.resolve(null)
      return put(doing.act, doing.batch, doing.act.entry.kind === 'undone' ? 'The last entry' : undefined)
    },
    undo: () => {
      if (doing.kind !== 'entered') return Promise.resolve(null)
      const { entry, head } = doing.acted
      const takeBack = { kind: 'undone', data: { entry: entry.id } } as const
      const about = {
        id: v7(),
        bench,
        who,
        expected_seq: head.seq,
        when: { kind: 'now' },
        now_ms: 0,
      } as const
      return put(actOf(takeBack, about), head.id, ENTRY_TEXT[entry.kind])
    },
    forget: () => setDoing({ kind: 'idle' }),
  }
}

/**
 * What the program itself wrote meanwhile (an alarm in the same second) must not stop a person from entering
 * ozone off: then the same entry, same id, goes again behind it. What a person wrote is shown and asked about.
 */
const sendEntry = async (act: Act, batch: string, left = MOST_TIMES): Promise<Answer<Acted>> => {
  const answer = await post<Acted>(`/api/batches/${encodeURIComponent(batch)}/entries`, act)
  if (answer.kind === 'answer' || answer.problem.status !== 409 || left <= 1) return answer
  const newer = answer.problem.entries ?? []
  const behind = behindProgram(newer)
  return behind === null ? answer : sendEntry({ ...act, expected_seq: behind }, batch, left - 1)
}

const MOST_TIMES = 3
