import { once } from 'node:events'
import { connect, type Socket } from 'node:net'
import { createLiveBench } from '../../../ingest/bench-simulator/live-bench.ts'
import { type HandClock, handClock } from './hand-clock.ts'
import { fill } from './quiet-bench.ts'

/** A running bench with 250 mL at 20 µg/mL, whose time the test moves. */
export const filledBench = () => {
  const clock: HandClock = handClock(1_700_000_000_000)
  const events = [{ atS: 0, action: fill({ dissolvedMgPerL: 20 }) }]
  const bench = createLiveBench({ seed: 3, events }, clock.nowMs(), { clock })
  bench.start()
  return { clock, bench }
}

export interface Client {
  readonly socket: Socket
  /** Waits until so many lines have come, and gives all. */
  lines(count: number): Promise<string[]>
  /** Waits until the other side has ended. */
  ended(): Promise<string>
}

export const connected = async (port: number): Promise<Client> => {
  const socket = connect({ host: '127.0.0.1', port })
  let got = ''
  let newlines = 0
  socket.setEncoding('latin1').on('data', (text: string) => {
    got += text
    newlines += text.split('\n').length - 1
  })
  socket.on('error', () => {})
  await once(socket, 'connect')
  return {
    socket,
    async lines(count) {
      while (newlines < count) await once(socket, 'data')
      return got.split('\n').slice(0, count)
    },
    async ended() {
      if (!socket.closed) await once(socket, 'close')
      return got
    },
  }
}
