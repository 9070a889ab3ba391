import { useMemo } from 'preact/hooks'
import { type Moment, serverNow } from '../../moment.ts'
import { useApp, useNow } from '../../store.ts'
import { useSiteClock } from './site.ts'

/** The server's time now. Before the server has spoken there is only the browser's clock to go by. */
export const useServerNow = (now: Moment): number => {
  const benches = useApp((s) => s.benches)
  const newest = useMemo(
    () => [...benches.values()].reduce((a, b) => (b.heard.mono_ms > a.heard.mono_ms ? b : a), FIRST),
    [benches],
  )
  return newest === FIRST ? now.wall_ms : serverNow(newest.value.at, newest.heard, now)
}

const FIRST = { value: { at: '' }, heard: { mono_ms: Number.NEGATIVE_INFINITY, wall_ms: 0 } }

export const SiteTime = () => {
  const now = useNow()
  const at = useServerNow(now)
  const clock = useSiteClock()
  const connected = useApp((s) => s.link === 'connected')
  return (
    <p class="site-time">
      <time>{connected ? clock.time(at) : 'no time'}</time> <span>{clock.zone}</span>
    </p>
  )
}
