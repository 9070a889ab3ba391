import type { Socket } from 'node:net'
import { listenForClients, sendOrDrop } from './line-server.ts'
import type { LiveBench } from './live-bench.ts'
import { wireLine } from './wire-line.ts'

export interface TcpBenchOptions {
  readonly host: string
  /** 0 = any free port. */
  readonly port: number
  readonly bench: LiveBench
}

export interface TcpBench {
  readonly port: number
  /** Clients that get lines now. */
  clients(): number
  /** Clients cut off because they had stopped reading. */
  dropped(): number
  close(): Promise<void>
}

/** The meter behind a serial-over-network server: each client gets the bench's lines from its connection on. */
export const startTcpBench = async ({ host, port, bench }: TcpBenchOptions): Promise<TcpBench> => {
  const clients = new Set<Socket>()
  let dropped = 0
  const server = await listenForClients(host, port, (socket) => {
    clients.add(socket)
    socket.on('close', () => clients.delete(socket))
    // Whatever a client says to the meter is read and thrown away; unread, it would pile up.
    socket.resume()
  })
  const unsubscribe = bench.onSample((sample, sequence) => {
    const line = wireLine(sample, sequence)
    for (const client of clients) {
      if (sendOrDrop(client, line) === 'sent') continue
      clients.delete(client)
      dropped++
    }
  })
  return {
    port: server.port,
    clients: () => clients.size,
    dropped: () => dropped,
    close() {
      unsubscribe()
      return server.close()
    },
  }
}
