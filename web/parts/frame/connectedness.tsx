import { roughly } from '../../../server/wording/format.ts'
import { elapsedMs } from '../../moment.ts'
import { inTouch } from '../../potency-shown.ts'
import { useApp, useNow } from '../../store.ts'

/** True while the server is heard. A socket can stay open with nothing on it, so silence counts too. */
export const useInTouch = (): boolean => {
  const link = useApp((s) => s.link)
  const heard = useApp((s) => s.heard)
  const now = useNow()
  return heard !== null && inTouch(heard, link === 'connected', now)
}

export const Connectedness = () => {
  const link = useApp((s) => s.link)
  const heard = useApp((s) => s.heard)
  const now = useNow()
  const touch = useInTouch()
  if (touch || (link === 'connecting' && heard === null)) return null
  const since = heard === null ? '' : ` Last heard from ${roughly(elapsedMs(heard, now) / 1000)} ago.`
  return (
    <div class="not-connected">
      <strong role="alert">This screen is not connected: numbers are old.</strong>{' '}
      <span>Do not go by them.{since}</span>
    </div>
  )
}
