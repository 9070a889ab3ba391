import { createServer, type Server, type Socket } from 'node:net'
import { until } from './until.ts'

/**
 * A line of the README's meter. The checksum is worked out here and not with the program's own code: the
 * exclusive-or of all characters between `$` and `*` (NMEA 0183). Check: `$SPGW,000123,23.40,ugml,5.12,C*5C`.
 */
export const meterLine = (count: number, mgPerL: string | number, celsius: string | number): string => {
  const text = `SPGW,${String(count % 1_000_000).padStart(6, '0')},${mgPerL},ugml,${celsius},C`
  let xor = 0
  for (const byte of Buffer.from(text, 'latin1')) xor ^= byte
  return `$${text}*${xor.toString(16).toUpperCase().padStart(2, '0')}\r\n`
}

/** The value says which line it came from: line 1234 carries 1.234 mg/L, and at 20 °C a thousandth of it more. */
export const countedLine = (count: number): string =>
  meterLine(count, (count / 1000).toFixed(3), (20 + count / 1000).toFixed(3))

/** A meter on a network serial server: sends what the test tells it to, to whoever is connected. */
export interface NetworkMeter {
  readonly port: number
  readonly connections: () => number
  /** How often somebody has connected so far. */
  readonly everConnected: () => number
  /** Sends to all; false when nobody is there. */
  send(bytes: string | Buffer): boolean
  /** Sends and waits until the bytes have left this process. */
  sendAll(bytes: Buffer): Promise<void>
  /** Closes the connections in the orderly way after what was sent, or breaks them off. */
  hangUp(how: 'end' | 'reset'): void
  close(): Promise<void>
}

export const startMeter = async (port = 0): Promise<NetworkMeter> => {
  const sockets = new Set<Socket>()
  let ever = 0
  const server = createServer((socket) => {
    ever += 1
    sockets.add(socket)
    socket.setNoDelay(true)
    socket.on('error', () => {})
    socket.on('close', () => sockets.delete(socket))
    socket.resume()
  })
  const actual = await listening(server, port)
  return {
    port: actual,
    connections: () => sockets.size,
    everConnected: () => ever,
    send: (bytes) => {
      for (const socket of sockets) socket.write(bytes)
      return sockets.size > 0
    },
    sendAll: async (bytes) => {
      const writes = [...sockets].map(
        (socket) => new Promise<void>((resolve) => socket.write(bytes, () => resolve())),
      )
      await Promise.all(writes)
    },
    hangUp: (how) => {
      for (const socket of sockets) how === 'end' ? socket.end() : socket.resetAndDestroy()
    },
    close: async () => {
      for (const socket of sockets) socket.destroy()
      await new Promise((resolve) => server.close(resolve))
    },
  }
}

const listening = async (server: Server, port: number): Promise<number> => {
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, '127.0.0.1', resolve)
  })
  const address = server.address()
  return typeof address === 'object' && address ? address.port : port
}

/** Sends counted lines at a rate, to the end of the test or until told to stop. */
export const startTicking = (
  meter: { send(line: string): boolean },
  everyMs: number,
  lineOf: (count: number) => string = countedLine,
) => {
  let count = 0
  const timer = setInterval(() => {
    count += 1
    meter.send(lineOf(count))
  }, everyMs)
  return { sent: () => count, stop: () => clearInterval(timer) }
}

export const connected = (meter: NetworkMeter, atLeast = 1): Promise<true> =>
  until(
    'the daemon to connect to the meter',
    () => meter.everConnected() >= atLeast && meter.connections() > 0,
  )
