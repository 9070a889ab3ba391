import { createContext } from 'preact'
import { useContext } from 'preact/hooks'
import type { SessionView } from '../server/wire.ts'
import { get, post } from './ask.ts'
import type { Connection } from './connection.ts'
import { forgetTab } from './remembered.ts'
import { type Store, useApp } from './store.ts'

/** May this screen show anything? Undefined session: not known yet, which is as if nobody were set up. */
export const mayRead = (session: SessionView | null): boolean =>
  session === null || !session.set_up || session.person !== null || session.display !== null

export interface SessionControl {
  /** Asks the server who is at this screen. No answer changes nothing: a screen without a server stays as it is. */
  readonly refresh: () => Promise<void>
  /** The server said who is at this screen now. */
  readonly took: (session: SessionView) => void
  /** The person did something; told to the server once a minute. */
  readonly here: () => void
}

const HERE_EVERY_MS = 60_000

export const createSession = (store: Store, connection: Connection): SessionControl => {
  let toldHere = Number.NEGATIVE_INFINITY
  const took = (session: SessionView): void => {
    const before = store.get().session
    const isOther = before !== null && readerOf(before) !== readerOf(session)
    // another reader, or none: nothing of what the one before saw stays in this page
    if (isOther || !mayRead(session)) {
      connection.pause()
      store.tell({ kind: 'forget' })
      forgetTab()
    }
    store.tell({ kind: 'session', session })
    if (mayRead(session)) connection.open()
  }
  return {
    took,
    refresh: async () => {
      const answer = await get<SessionView>('/api/session')
      if (answer.kind === 'answer') took(answer.value)
    },
    here: () => {
      const person = store.get().session?.person
      const now = performance.now()
      if (!person || person.idle || now - toldHere < HERE_EVERY_MS) return
      toldHere = now
      void post<SessionView>('/api/session/here', {}).then(
        (answer) => answer.kind === 'answer' && took(answer.value),
      )
    },
  }
}

/** Whose eyes the page is for: a display's, whoever acts at it, or a person's. */
const readerOf = ({ set_up, display, person }: SessionView): string => {
  if (!set_up) return 'anybody'
  return display ? `display ${display.name}` : `person ${person?.id ?? ''}`
}

export const SessionContext = createContext<SessionControl>({
  refresh: () => Promise.resolve(),
  took: () => {},
  here: () => {},
})

export const useSession = (): [SessionView | null, SessionControl] => [
  useApp((s) => s.session),
  useContext(SessionContext),
]
