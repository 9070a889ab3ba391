import { messageOf } from '../errors.ts'
import type { OpenPort, Port } from './port.ts'

export type PortState =
  | { readonly state: 'opening' }
  | { readonly state: 'open' }
  | { readonly state: 'silent'; readonly why: string }
  | { readonly state: 'waiting'; readonly why: string; readonly retryInMs: number }
  | { readonly state: 'stopped'; readonly why: string | null }

export interface ReconnectOptions {
  /** No byte for this long on an open port counts as a dead connection: it is closed and opened anew. */
  readonly silenceMs: number
  readonly onState: (state: PortState) => void
  /** A new connection; what is written to it before it is cut reaches the instrument. */
  readonly onOpen?: (opened: OpenPort) => void
  readonly onData: (chunk: Uint8Array) => void
  /** The byte stream is cut here: what was unfinished cannot be continued. */
  readonly onCut: () => void
  /** A replay that has ended is not opened again. */
  readonly once?: boolean
}

const FIRST_WAIT_MS = 250
const LONGEST_WAIT_MS = 2000

/** Wait before try number `failures` (1, 2, …): doubling, capped so that a re-plugged cable is seen in seconds. */
export const waitBeforeRetry = (failures: number): number =>
  Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.max(0, failures - 1))

/**
 * Keeps a port open for ever: a missing device, a pulled cable, a refused or half-open socket is a state and
 * another try, never an end. Returns a function that stops it.
 */
export const keepOpen = (port: Port, options: ReconnectOptions): (() => void) => {
  let current: { readonly opened: OpenPort; readonly finish: (why: string) => void } | undefined
  let failures = 0
  let stopped = false
  let timer: NodeJS.Timeout | undefined
  let silence: NodeJS.Timeout | undefined

  const closed = (why: string) => {
    clearTimeout(silence)
    current = undefined
    options.onCut()
    if (stopped) return
    if (options.once) return options.onState({ state: 'stopped', why })
    failures += 1
    const retryInMs = waitBeforeRetry(failures)
    options.onState({ state: 'waiting', why, retryInMs })
    timer = setTimeout(tryOpen, retryInMs)
  }

  const watchSilence = () => {
    clearTimeout(silence)
    silence = setTimeout(() => {
      const why = `no byte for ${Math.round(options.silenceMs / 1000)} s: opening it again`
      options.onState({ state: 'silent', why })
      current?.opened.close()
      current?.finish(why)
    }, options.silenceMs)
  }

  const tryOpen = () => {
    options.onState({ state: 'opening' })
    let over = false
    // a connection given up once may still report its own end later, when the next one is open
    const finish = (why: string) => {
      if (over) return
      over = true
      closed(why)
    }
    const data = (chunk: Uint8Array) => {
      if (over || stopped) return
      failures = 0
      watchSilence()
      options.onData(chunk)
    }
    port.open({ data, closed: finish }).then(
      (opened) => {
        if (stopped || over) return opened.close()
        current = { opened, finish }
        options.onState({ state: 'open' })
        watchSilence()
        options.onOpen?.(opened)
      },
      (error: unknown) => finish(messageOf(error)),
    )
  }

  tryOpen()
  return () => {
    stopped = true
    clearTimeout(timer)
    clearTimeout(silence)
    current?.opened.close()
    options.onState({ state: 'stopped', why: null })
  }
}
