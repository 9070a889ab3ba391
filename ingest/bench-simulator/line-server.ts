import { createServer, type Server, type Socket } from 'node:net'
import { SimulatorError } from './simulator-error.ts'

/** A client further behind than this is cut off, so that one sleeper cannot fill the memory. */
export const MAX_UNSENT_BYTES = 64 * 1024
const MAX_CLIENTS = 32

export interface LineServer {
  /** The real port, also when 0 was asked for. */
  readonly port: number
  /** Ends all connections. */
  close(): Promise<void>
}

/** Listens; `onClient` gets each connection. Broken connections end quietly, clients beyond 32 are turned away. */
export const listenForClients = async (
  host: string,
  port: number,
  onClient: (socket: Socket) => void,
): Promise<LineServer> => {
  const sockets = new Set<Socket>()
  const server = createServer((socket) => {
    sockets.add(socket)
    socket.setNoDelay(true)
    // A reset by the client is how connections end, not a fault; 'close' follows.
    socket.on('error', () => {})
    socket.on('close', () => sockets.delete(socket))
    onClient(socket)
  })
  server.maxConnections = MAX_CLIENTS
  await listening(server, host, port)
  const address = server.address()
  return {
    port: typeof address === 'object' && address !== null ? address.port : port,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        for (const socket of sockets) socket.destroy()
      }),
  }
}

/** Sends, or cuts the client off when it has stopped reading. Says whether it was cut off. */
export const sendOrDrop = (socket: Socket, text: string): 'sent' | 'dropped' => {
  if (socket.writableLength + text.length > MAX_UNSENT_BYTES) {
    socket.destroy()
    return 'dropped'
  }
  socket.write(text)
  return 'sent'
}

const listening = (server: Server, host: string, port: number): Promise<void> =>
  new Promise((resolve, reject) => {
    server.once('error', (cause) => {
      reject(new SimulatorError('port', [`cannot listen on ${host}:${port}: ${cause.message}`], { cause }))
    })
    server.listen(port, host, resolve)
  })
