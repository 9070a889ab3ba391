import { useEffect, useRef, useState } from 'preact/hooks'
import type { Tried, TryWanted } from '../../server/wire.ts'
import { post } from '../ask.ts'
import type { FrameHeard } from './heard.ts'

const EVERY_MS = 800
const MOST_FRAMES = 25

/** What the settings on screen make of the frames heard, asked again as more arrive. Null: nothing to try yet. */
export const useTried = (
  port: TryWanted['port'] | null,
  instrument: TryWanted['instrument'],
  frames: readonly FrameHeard[],
): Tried | null => {
  const [tried, setTried] = useState<Tried | null>(null)
  const now = useRef({ port, instrument, frames })
  now.current = { port, instrument, frames }
  useEffect(() => {
    let wanted = true
    let asked = ''
    const look = async () => {
      const body = wantedOf(now.current)
      const key = JSON.stringify(body)
      if (key === asked) return
      asked = key
      const answer = body === null ? null : await post<Tried>('/api/ports/try', body)
      if (wanted && asked === key) setTried(answer?.kind === 'answer' ? answer.value : null)
    }
    void look()
    const timer = setInterval(() => void look(), EVERY_MS)
    return () => {
      wanted = false
      clearInterval(timer)
    }
  }, [])
  return tried
}

interface Now {
  readonly port: TryWanted['port'] | null
  readonly instrument: TryWanted['instrument']
  readonly frames: readonly FrameHeard[]
}

const wantedOf = ({ port, instrument, frames }: Now): TryWanted | null => {
  const { bench: _, ask: _ask, ...mapped } = instrument
  const channels = mapped['channels']
  if (port === null || frames.length === 0 || !Array.isArray(channels) || channels.length === 0) return null
  return { port, instrument: mapped, frames: frames.slice(-MOST_FRAMES).map(bareOf) }
}

const bareOf = (frame: FrameHeard): TryWanted['frames'][number] =>
  frame.kind === 'line'
    ? { kind: 'line', mono_ms: frame.mono_ms, text: frame.text }
    : {
        kind: 'registers',
        mono_ms: frame.mono_ms,
        table: frame.table,
        start: frame.start,
        words: [...frame.words],
      }
