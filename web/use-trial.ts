import { useEffect } from 'preact/hooks'
import type { TrialView, TrialWorking } from '../server/wire.ts'
import { type Asked, useAsked } from './ask.ts'
import { useApp } from './store.ts'

const AGAIN_MS = 500

/** A trial as it stands; while it is worked out, how far it is, asked again twice a second. */
export const useTrial = (id: string): [Asked<TrialView | TrialWorking>, () => void] => {
  const newest = useApp((s) => s.outside)
  const [asked, again] = useAsked<TrialView | TrialWorking>(`/api/trials/${encodeURIComponent(id)}`, newest)
  const working = asked.kind === 'answer' && 'working' in asked.value ? asked.value : null
  useEffect(() => {
    if (working === null) return
    const timer = setTimeout(again, AGAIN_MS)
    return () => clearTimeout(timer)
  }, [working, again])
  return [asked, again]
}
