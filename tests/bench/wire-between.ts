import { connect, createServer, type Server, type Socket } from 'node:net'

/** A wire through which everything to a server passes, so that it can be killed while a request is on its way. */
export interface WireBetween {
  readonly port: number
  /** Bytes sent since the server last answered anything. */
  readonly unanswered: () => number
  /** When the first bytes came after `join`, by `performance.now`; undefined: none yet. */
  readonly firstSentAt: () => number | undefined
  /** Connections are refused, as by a machine on which the server is down. */
  cut(): Promise<void>
  join(): Promise<void>
}

export const wireTo = async (port: number, at: number): Promise<WireBetween> => {
  const open = new Set<Socket>()
  let unanswered = 0
  let firstSentAt: number | undefined
  let server: Server | undefined

  const pass = (client: Socket) => {
    const behind = connect(port, '127.0.0.1')
    for (const [one, other] of [
      [client, behind],
      [behind, client],
    ] as const) {
      open.add(one)
      one.pipe(other)
      one.on('error', () => other.destroy())
      one.on('close', () => {
        open.delete(one)
        other.destroy()
      })
    }
    client.on('data', (chunk: Buffer) => {
      firstSentAt ??= performance.now()
      unanswered += chunk.length
    })
    behind.on('data', () => {
      unanswered = 0
    })
  }
  const join = () =>
    new Promise<void>((joined) => {
      unanswered = 0
      firstSentAt = undefined
      server = createServer(pass).listen(at, '127.0.0.1', joined)
    })
  const cut = () =>
    new Promise<void>((done) => {
      for (const socket of open) socket.destroy()
      server?.close(() => done())
    })
  await join()
  return { port: at, unanswered: () => unanswered, firstSentAt: () => firstSentAt, cut, join }
}
