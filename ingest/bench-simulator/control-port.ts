import type { Socket } from 'node:net'
import { actionSchema } from './action.ts'
import type { SimulatedSample } from './bench-simulator.ts'
import { check } from './checked.ts'
import { type LineServer, listenForClients, sendOrDrop } from './line-server.ts'
import type { LiveBench } from './live-bench.ts'

/** Longest control line, in characters; an action is far shorter. */
const MAX_LINE = 4096
const NEEDED = `a line of JSON of at most ${MAX_LINE} characters is needed`

export interface ControlPortOptions {
  readonly host: string
  /** 0 = any free port. */
  readonly port: number
  readonly bench: LiveBench
}

/**
 * Actions as JSON lines, each answered by `{"ok":true}` or `{"ok":false,"why":"…"}`. `{"do":"report"}` is answered with
 * the latest sample, truth included. A line that is no JSON, or endless, ends the connection: whoever speaks another
 * language (a browser, say) must not get a later line through.
 */
export const startControlPort = ({ host, port, bench }: ControlPortOptions): Promise<LineServer> =>
  listenForClients(host, port, (socket) => {
    let pending = ''
    socket.setEncoding('utf8')
    socket.on('data', (chunk: string) => {
      const lines = (pending + chunk).split('\n')
      pending = lines.pop() ?? ''
      for (const line of lines) answerLine(socket, bench, line)
      if (pending.length > MAX_LINE) hangUp(socket, NEEDED)
    })
  })

type Answer =
  | { readonly ok: true; readonly sample?: SimulatedSample }
  | { readonly ok: false; readonly why: string }

const answerLine = (socket: Socket, bench: LiveBench, line: string): void => {
  if (socket.writableEnded || line.trim() === '') return
  const said = line.length > MAX_LINE ? undefined : parsed(line)
  if (said === undefined) hangUp(socket, NEEDED)
  else sendOrDrop(socket, jsonLine(answerTo(bench, said.value)))
}

const answerTo = (bench: LiveBench, said: unknown): Answer => {
  if (isReport(said)) return report(bench)
  const action = check(actionSchema, said, 'action')
  return action.ok ? bench.apply(action.value) : { ok: false, why: action.why.join('; ') }
}

const isReport = (said: unknown): boolean =>
  typeof said === 'object' && said !== null && 'do' in said && said.do === 'report'

const report = (bench: LiveBench): Answer => {
  const sample = bench.latest()
  return sample === undefined ? { ok: false, why: 'no sample has been taken yet' } : { ok: true, sample }
}

const parsed = (line: string): { readonly value: unknown } | undefined => {
  try {
    return { value: JSON.parse(line) }
  } catch {
    return undefined
  }
}

const hangUp = (socket: Socket, why: string): void => {
  socket.end(jsonLine({ ok: false, why }))
  socket.removeAllListeners('data')
  socket.resume()
}

const jsonLine = (answer: Answer): string => `${JSON.stringify(answer)}\n`
