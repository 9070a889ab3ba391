import { readFileSync, statSync } from 'node:fs'
import { connect } from 'node:net'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import type { TapEvent } from '../../ingest/tap/tap-event.ts'
import { until } from './until.ts'

export const tapFile = (home: string): string => join(home, 'tap.json')

export const tapAddress = (home: string): { port: number; token: string } =>
  JSON.parse(readFileSync(tapFile(home), 'utf8')) as { port: number; token: string }

export const untilTap = (home: string) =>
  until(
    'the file that says where to listen',
    () => statSync(tapFile(home), { throwIfNoEntry: false }) !== undefined,
  )

/** Speaks to the daemon's door with bytes of the test's own; hears lines of JSON. */
export const knock = (home: string, first: string | Buffer) => {
  const heard: TapEvent[] = []
  let held = ''
  let closed = false
  const socket = connect(tapAddress(home).port, '127.0.0.1')
  onTestFinished(() => void socket.destroy())
  socket.on('error', () => {})
  socket.on('close', () => {
    closed = true
  })
  socket.on('data', (chunk) => {
    const lines = (held + chunk.toString('utf8')).split('\n')
    held = lines.pop() ?? ''
    heard.push(...lines.map((line) => JSON.parse(line) as TapEvent))
  })
  socket.write(first)
  return {
    heard,
    isClosed: () => closed,
    /** Reads no more until told to go on: a listener that hangs. */
    hang: () => void socket.pause(),
    goOn: () => void socket.resume(),
    leave: () => void socket.destroy(),
    untilHeard: <K extends TapEvent['kind']>(
      kind: K,
      fits: (event: Extract<TapEvent, { kind: K }>) => boolean = () => true,
    ): Promise<Extract<TapEvent, { kind: K }>> =>
      until(
        () => `${kind}; heard ${JSON.stringify(heard).slice(-500)}`,
        () =>
          heard.find(
            (e): e is Extract<TapEvent, { kind: K }> =>
              e.kind === kind && fits(e as Extract<TapEvent, { kind: K }>),
          ),
      ),
  }
}

export const ask = (home: string, question: object) =>
  knock(home, `${JSON.stringify({ ...question, token: tapAddress(home).token })}\n`)
