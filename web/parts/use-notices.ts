import { useEffect, useRef } from 'preact/hooks'
import { newlyWaiting } from '../newly-waiting.ts'
import { showNotice } from '../notices.ts'
import { useApp } from '../store.ts'

/** A notice of the browser for each alarm nobody has acknowledged, while `on`; it names each raising once. */
export const useNotices = (on: boolean): void => {
  const alarms = useApp((s) => s.alarms)
  const told = useRef<ReadonlySet<string>>(new Set())
  useEffect(() => {
    if (!on) return
    for (const alarm of newlyWaiting(told.current, alarms)) showNotice(alarm)
    told.current = new Set(alarms.filter((a) => a.state === 'unacknowledged').map((a) => a.key))
  }, [on, alarms])
}
