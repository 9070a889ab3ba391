import { createReadStream } from 'node:fs'
import { createInterface } from 'node:readline'
import { setTimeout as sleep } from 'node:timers/promises'
import { IngestError, messageOf } from '../errors.ts'
import type { Port } from './port.ts'

export interface ReplaySettings {
  readonly file: string
  /** 1 plays in the capture's own time, 60 a minute per second. */
  readonly speed: number
}

const CHUNK = /^(\d+(?:\.\d+)?)\s+([0-9a-fA-F]*)\s*$/

/**
 * Plays a timed capture: one chunk per line, "seconds hex-bytes" (`1.250 24535057…`), `#` for comments.
 * It carries the bytes exactly as they came off the wire, cuts and noise included.
 */
export const replayPort = (name: string, settings: ReplaySettings): Port => ({
  name,
  open: async (listener) => {
    const chunks = readCapture(settings.file)
    const first = await chunks.next().catch((error: unknown) => {
      throw new IngestError(
        'port-failed',
        `capture ${settings.file} cannot be played: ${messageOf(error)}`,
        {},
        error,
      )
    })
    const stop = new AbortController()
    const play = async () => {
      const start = performance.now()
      for (let item = first; !item.done; item = await chunks.next()) {
        const due = (item.value.atS * 1000) / settings.speed - (performance.now() - start)
        if (due > 0) await sleep(due, undefined, { signal: stop.signal })
        if (stop.signal.aborted) return
        listener.data(item.value.bytes)
      }
    }
    setImmediate(() => {
      play().then(
        () => listener.closed('the capture has ended'),
        (error: unknown) => listener.closed(stop.signal.aborted ? 'stopped' : messageOf(error)),
      )
    })
    return {
      // a capture answers nobody; the wiring allows no questions on it
      write: () => {},
      close: () => stop.abort(),
    }
  },
})

async function* readCapture(file: string): AsyncGenerator<{ atS: number; bytes: Buffer }> {
  let number = 0
  for await (const line of createInterface({ input: createReadStream(file) })) {
    number += 1
    if (line.trim() === '' || line.startsWith('#')) continue
    const found = CHUNK.exec(line)
    if (!found?.[1] || (found[2] ?? '').length % 2 !== 0)
      throw new IngestError(
        'port-failed',
        `line ${number} needs "seconds hex-bytes", got: ${line.slice(0, 40)}`,
      )
    yield { atS: Number(found[1]), bytes: Buffer.from(found[2] ?? '', 'hex') }
  }
}
