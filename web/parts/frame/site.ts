import { createContext } from 'preact'
import { useContext, useMemo } from 'preact/hooks'
import { type SiteClock, siteClock } from '../../../server/wording/site-clock.ts'
import type { Connection } from '../../connection.ts'
import { useApp } from '../../store.ts'

/** The site's clock; UTC until the server has said which zone the site is in. */
export const useSiteClock = (): SiteClock => {
  const zone = useApp((s) => s.site?.zone ?? 'UTC')
  return useMemo(() => siteClock(zone), [zone])
}

export const ConnectionContext = createContext<Connection | null>(null)

export const useConnection = (): Connection | null => useContext(ConnectionContext)
