import { createServer, type Socket } from 'node:net'
import { answer, refusal, sealed } from './modbus-bytes.ts'
import { splitAt } from './split.ts'
import { pause } from './until.ts'

/** How a unit answers; every way is one that real lines show. */
export type Manner =
  | 'well'
  | 'not'
  | 'late'
  | 'torn'
  | 'corrupt'
  | 'as-another'
  | 'in-pieces'
  | { readonly refuses: number }

export interface Unit {
  manner: Manner
  /** What its registers hold at the moment, by wire address. */
  readonly registers: (table: 'holding' | 'input', at: number) => number
}

/** Longer than the time-out in the wiring of these tests, shorter than the time in which late answers are waited out. */
export const LATE_MS = 450
export const TIMEOUT_S = 0.3

/** The units of one line. They answer what they are asked, each in its manner, and remember what they were asked. */
export const createLine = (units: Readonly<Record<number, Unit>>) => {
  const asked: { readonly unit: number; readonly code: number }[] = []
  const notRequests: string[] = []

  /** Bytes of one request; `send` is the line at the moment of answering. */
  const hear = async (request: Buffer, send: (bytes: Buffer) => void): Promise<void> => {
    const [unit = 0, code = 0] = request
    if (!request.equals(sealed(...request.subarray(0, -2))) || (code !== 3 && code !== 4)) {
      notRequests.push(request.toString('hex'))
      return
    }
    asked.push({ unit, code })
    const at = units[unit]
    if (!at || at.manner === 'not') return
    const start = request.readUInt16BE(2)
    const table = code === 3 ? 'holding' : 'input'
    const registers = Array.from({ length: request.readUInt16BE(4) }, (_, i) =>
      at.registers(table, start + i),
    )
    await answerIn(at.manner, unit, code, registers, send)
  }
  return { hear, asked, notRequests }
}

const answerIn = async (
  manner: Manner,
  unit: number,
  code: 3 | 4,
  registers: readonly number[],
  send: (bytes: Buffer) => void,
): Promise<void> => {
  const good = answer(unit, code, registers)
  if (typeof manner === 'object') return send(refusal(unit, code, manner.refuses))
  switch (manner) {
    case 'well':
      return send(good)
    case 'not':
      return
    case 'late':
      await pause(LATE_MS)
      return send(good)
    case 'torn':
      return send(good.subarray(0, good.length - 3))
    case 'corrupt':
      good[4]! ^= 0x40
      return send(good)
    case 'as-another':
      return send(answer(unit + 100, code, registers))
    case 'in-pieces':
      for (const piece of splitAt(good, [1, 2, 1, 3])) {
        send(Buffer.from(piece))
        await pause(20)
      }
  }
}

export type Line = ReturnType<typeof createLine>

/** Cuts what arrives into requests of eight bytes, as a unit does by the silence between them. */
export const requestsOf = (take: (request: Buffer) => void) => {
  let held = Buffer.alloc(0)
  return (bytes: Buffer): void => {
    held = Buffer.concat([held, bytes])
    for (; held.length >= 8; held = held.subarray(8)) take(held.subarray(0, 8))
  }
}

/** A device server: raw bytes of whatever speaks behind it. `hear` gets each chunk and how to send back. */
export const startDeviceServer = async (
  onSocket: (send: (bytes: Buffer) => void) => (bytes: Buffer) => void,
  port = 0,
) => {
  const sockets = new Set<Socket>()
  const server = createServer((socket) => {
    sockets.add(socket)
    socket.setNoDelay(true)
    socket.on('error', () => {})
    socket.on('close', () => sockets.delete(socket))
    const hear = onSocket((bytes) => void (socket.writable && socket.write(bytes)))
    socket.on('data', hear)
  })
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve))
  const address = server.address()
  return {
    port: typeof address === 'object' && address ? address.port : port,
    hangUp: () => {
      for (const socket of sockets) socket.destroy()
    },
    close: async () => {
      for (const socket of sockets) socket.destroy()
      await new Promise((resolve) => server.close(resolve))
    },
  }
}
