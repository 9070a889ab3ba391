import { useEffect, useState } from 'preact/hooks'
import type { Problem, WiringFile, WiringSaved, WiringWanted } from '../../server/wire.ts'
import { post } from '../ask.ts'

export type Saying =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'saving' }
  | { readonly kind: 'saved'; readonly saved: WiringSaved }
  | { readonly kind: 'problem'; readonly problem: Problem }

const CHECK_AFTER_MS = 500

/** Every fault that the file would have, asked whenever what is typed rests for a moment. Null: not asked yet. */
export const useFaults = (wanted: WiringWanted | null): readonly string[] | null => {
  const [faults, setFaults] = useState<readonly string[] | null>(null)
  const key = JSON.stringify(wanted)
  useEffect(() => {
    let isWanted = true
    setFaults(null)
    if (wanted === null) return
    const timer = setTimeout(() => {
      void post<{ faults: string[] }>('/api/wiring/check', wanted).then((answer) => {
        if (isWanted) setFaults(answer.kind === 'answer' ? answer.value.faults : [answer.problem.detail])
      })
    }, CHECK_AFTER_MS)
    return () => {
      isWanted = false
      clearTimeout(timer)
    }
  }, [key])
  return faults
}

/** Saves against the version that was read; on a conflict nothing is written. */
export const useSaving = (wiring: WiringFile, onSaved: () => void) => {
  const [saying, setSaying] = useState<Saying>({ kind: 'nothing' })
  const save = async (wanted: WiringWanted): Promise<void> => {
    setSaying({ kind: 'saving' })
    const answer = await post<WiringSaved>('/api/wiring', { ...wanted, expected: wiring.version })
    if (answer.kind === 'problem') return setSaying(answer)
    setSaying({ kind: 'saved', saved: answer.value })
    onSaved()
  }
  return { saying, save }
}
