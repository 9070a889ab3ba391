import { createContext } from 'preact'
import { useContext, useEffect, useRef, useState } from 'preact/hooks'
import type { Moment } from './moment.ts'
import { type AppState, EMPTY, type News, reduce } from './state.ts'

export interface Store {
  readonly get: () => AppState
  readonly tell: (news: News) => void
  readonly subscribe: (listener: () => void) => () => void
}

export const moment = (): Moment => ({ mono_ms: performance.now(), wall_ms: Date.now() })

export const createStore = (): Store => {
  let state = EMPTY
  const listeners = new Set<() => void>()
  return {
    get: () => state,
    tell: (news) => {
      state = reduce(state, news, moment())
      for (const listener of listeners) listener()
    },
    subscribe: (listener) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
  }
}

export const StoreContext = createContext<Store>(createStore())

/** The part of the state that `pick` returns; renders again only when that part is another object. */
export const useApp = <T>(pick: (state: AppState) => T): T => {
  const store = useContext(StoreContext)
  const [, again] = useState({})
  const picked = pick(store.get())
  const last = useRef({ pick, picked })
  last.current = { pick, picked }
  useEffect(() => {
    const look = () => {
      if (last.current.pick(store.get()) !== last.current.picked) again({})
    }
    look()
    return store.subscribe(look)
  }, [store])
  return picked
}

/** The present moment, renewed once a second. */
export const useNow = (): Moment => {
  const [now, setNow] = useState(moment)
  useEffect(() => {
    const timer = setInterval(() => setNow(moment()), 1000)
    return () => clearInterval(timer)
  }, [])
  return now
}
