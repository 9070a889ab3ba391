import { io } from 'socket.io-client'
import type { LiveReadings } from '../../server/wire.ts'

export interface Still {
  readonly from: number
  readonly to: number
}

/** A screen that only listens to one bench, and remembers the times between news (by `performance.now`). */
export const listeningScreen = async (address: string, bench: string) => {
  const stills: Still[] = []
  let last: number | undefined
  let readings = 0
  const socket = io(address, { transports: ['websocket'] })
  socket.on('readings', (news: LiveReadings) => {
    const now = performance.now()
    if (last !== undefined) stills.push({ from: last, to: now })
    last = now
    readings += news.readings.length
  })
  await new Promise<void>((connected) => void socket.once('connect', () => connected()))
  await socket.emitWithAck('watch', bench)
  return { readings: () => readings, stills: () => stills, close: () => void socket.close() }
}

const length = ({ from, to }: Still): number => to - from

/** The longest one, ms, that did not touch any of these times. */
export const longestOutside = (stills: readonly Still[], excused: readonly Still[]): number =>
  Math.max(0, ...stills.filter((s) => excused.every((e) => s.to < e.from || s.from > e.to)).map(length))

export const longest = (stills: readonly Still[]): number => longestOutside(stills, [])
