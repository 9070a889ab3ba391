import { connect, type Socket } from 'node:net'
import { createInterface } from 'node:readline'
import { IngestError } from '../errors.ts'
import type { PortStatus } from '../store/store.ts'
import { readTapFile } from './tap-file.ts'

const CONNECT_WITHIN_MS = 3000

/** Connects and sends one question; what comes back can be read from the socket, one JSON object a line. */
export const openTap = (home: string, question: object): Promise<Socket> => {
  const { port, token } = readTapFile(home)
  return new Promise((resolve, reject) => {
    const socket = connect({ host: '127.0.0.1', port })
    const fail = (cause: unknown) => {
      socket.destroy()
      reject(new IngestError('tap-failed', 'the logging program does not answer: start it again', {}, cause))
    }
    socket.setTimeout(CONNECT_WITHIN_MS, () => fail(undefined))
    socket.once('error', fail)
    socket.once('connect', () => {
      socket.setTimeout(0)
      socket.off('error', fail)
      socket.on('error', () => socket.destroy())
      socket.write(`${JSON.stringify({ ...question, token })}\n`)
      resolve(socket)
    })
  })
}

/** States of the ports at work, as the daemon tells them itself. */
export const askStatus = async (home: string): Promise<readonly PortStatus[]> => {
  const socket = await openTap(home, { ask: 'status' })
  const timer = setTimeout(() => socket.destroy(), CONNECT_WITHIN_MS)
  try {
    for await (const line of createInterface({ input: socket })) {
      const answer = JSON.parse(line) as { ports: readonly PortStatus[] } | { why: string }
      if ('ports' in answer) return answer.ports
      throw new IngestError('tap-failed', `the logging program refuses: ${answer.why}`)
    }
    throw new IngestError('tap-failed', 'the logging program does not answer: start it again')
  } finally {
    clearTimeout(timer)
    socket.destroy()
  }
}
