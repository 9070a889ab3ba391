import { useEffect, useRef, useState } from 'preact/hooks'
import type { Problem, SpotAnswer } from '../../../server/wire.ts'
import { get } from '../../ask.ts'

const EVERY_MS = 1000

export interface Spot {
  /** Null until the server has answered the first time. */
  readonly answer: SpotAnswer | null
  readonly problem: Problem | null
  /** Waits for another time-out, from the same dip. */
  readonly keepWaiting: () => void
  /** Counts anew from now. */
  readonly beginAgain: () => void
}

/**
 * Asks once a second how far the dipped probe is, from the moment this was opened, and stops at a settled value or a
 * refusal. The moment is the server's: its answer to the first question carries it.
 */
export const useSpot = (bench: string): Spot => {
  const [answer, setAnswer] = useState<SpotAnswer | null>(null)
  const [problem, setProblem] = useState<Problem | null>(null)
  const [patience, setPatience] = useState(1)
  const [round, setRound] = useState(0)
  const from = useRef<string | null>(null)
  useEffect(() => {
    let wanted = true
    let timer: ReturnType<typeof setTimeout> | undefined
    const ask = async (): Promise<void> => {
      const query = new URLSearchParams({ patience: String(patience) })
      if (from.current !== null) query.set('from', from.current)
      const told = await get<SpotAnswer>(`/api/benches/${encodeURIComponent(bench)}/spot-reading?${query}`)
      if (!wanted) return
      setProblem(told.kind === 'problem' ? told.problem : null)
      if (told.kind === 'answer') {
        from.current = told.value.from
        setAnswer(told.value)
        if (told.value.state !== 'settling') return
      }
      timer = setTimeout(() => void ask(), EVERY_MS)
    }
    void ask()
    return () => {
      wanted = false
      clearTimeout(timer)
    }
  }, [bench, patience, round])
  return {
    answer,
    problem,
    keepWaiting: () => setPatience((n) => Math.min(20, n + 1)),
    beginAgain: () => {
      from.current = null
      setAnswer(null)
      setPatience(1)
      setRound((n) => n + 1)
    },
  }
}
