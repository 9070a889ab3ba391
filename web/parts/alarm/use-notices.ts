import { useEffect, useRef } from 'preact/hooks'
import { newlyWaiting, type Told } from '../../newly-waiting.ts'
import { showNotice } from '../../notices.ts'
import { useApp, useNow } from '../../store.ts'

/** A notice of the browser for each alarm nobody has acknowledged, while `on`; those of high priority come again. */
export const useNotices = (on: boolean): void => {
  const alarms = useApp((s) => s.alarms)
  const { mono_ms } = useNow()
  const told = useRef<Told>(new Map())
  useEffect(() => {
    if (!on) return
    const news = newlyWaiting(told.current, alarms, mono_ms)
    told.current = news.told
    for (const one of news.tell) showNotice(one)
  }, [on, alarms, mono_ms])
}
