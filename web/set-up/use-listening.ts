import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import type { ListenWanted, Problem, TapEvent } from '../../server/wire.ts'
import { NO_ANSWER } from '../ask.ts'
import { type Heard, hear, NOTHING_HEARD } from './heard.ts'

export type Listening =
  | { readonly kind: 'idle' }
  | { readonly kind: 'listening'; readonly since_ms: number }
  | { readonly kind: 'problem'; readonly problem: Problem }

export interface Ear {
  readonly heard: Heard
  /** When the newest frame was heard, by this screen's steady clock; null: none yet. */
  readonly frame_ms: number | null
  readonly listening: Listening
  readonly start: (wanted: ListenWanted) => void
  readonly stop: () => void
}

/** A flood is shown four times a second, not a thousand. */
const SHOW_EVERY_MS = 250
const MOST_UNSHOWN = 2000

/** Listens to a port while the screen is open; leaving it closes the port. */
export const useListening = (): Ear => {
  const [heard, setHeard] = useState<Heard>(NOTHING_HEARD)
  const [listening, setListening] = useState<Listening>({ kind: 'idle' })
  const [frameMs, setFrameMs] = useState<number | null>(null)
  const running = useRef<AbortController | null>(null)
  const stop = useCallback(() => {
    running.current?.abort()
    running.current = null
    setListening({ kind: 'idle' })
  }, [])
  useEffect(() => () => running.current?.abort(), [])
  const start = useCallback((wanted: ListenWanted) => {
    running.current?.abort()
    const leave = new AbortController()
    running.current = leave
    setHeard(NOTHING_HEARD)
    setFrameMs(null)
    setListening({ kind: 'listening', since_ms: performance.now() })
    let unshown: TapEvent[] = []
    const show = () => {
      const events = unshown
      unshown = []
      if (events.length === 0 || running.current !== leave) return
      setHeard((before) => hear(before, events))
      if (events.some((e) => e.kind === 'line' || e.kind === 'registers')) setFrameMs(performance.now())
    }
    const timer = setInterval(show, SHOW_EVERY_MS)
    void follow(wanted, leave.signal, (events) => {
      unshown = [...unshown, ...events].slice(-MOST_UNSHOWN)
    }).then((problem) => {
      clearInterval(timer)
      show()
      if (running.current !== leave) return
      running.current = null
      setListening(problem === null ? { kind: 'idle' } : { kind: 'problem', problem })
    })
  }, [])
  return { heard, frame_ms: frameMs, listening, start, stop }
}

/** Reads the stream to its end; the problem when there is one. */
const follow = async (
  wanted: ListenWanted,
  signal: AbortSignal,
  tell: (events: TapEvent[]) => void,
): Promise<Problem | null> => {
  try {
    const response = await fetch('/api/ports/listen', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(wanted),
      signal,
    })
    if (!response.ok || response.body === null) return (await response.json()) as Problem
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader()
    let held = ''
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      const lines = (held + part.value).split('\n')
      held = lines.pop() ?? ''
      tell(lines.map((line) => JSON.parse(line) as TapEvent))
    }
    return null
  } catch {
    return signal.aborted ? null : NO_ANSWER
  }
}
