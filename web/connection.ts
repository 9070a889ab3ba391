import { io, type Socket } from 'socket.io-client'
import type { ScreenEvents, ServerEvents } from '../server/wire.ts'
import type { Store } from './store.ts'

export interface Connection {
  /** Joins the detailed stream of a bench, again after every reconnection, until the returned function is called. */
  readonly watch: (bench: string) => () => void
  /** Begins to listen, and goes on trying until `pause`. */
  readonly open: () => void
  readonly pause: () => void
}

const AGAIN_MS = 1000

/** The live stream, same origin. Whatever arrives is told to the store; nothing is decided here. */
export const connect = (store: Store, onRefused: () => void = () => {}): Connection => {
  const socket: Socket<ServerEvents, ScreenEvents> = io({ autoConnect: false, reconnectionDelayMax: 3000 })
  const watched = new Map<string, number>()
  const { tell } = store
  let wanted = false

  const ask = (bench: string) =>
    socket.emit('watch', bench, (now) => {
      if (now === null) return
      tell({ kind: 'live', live: now.live })
      tell({ kind: 'curves', curves: now.curves })
    })

  socket.on('connect', () => {
    tell({ kind: 'link', link: 'connected' })
    for (const bench of watched.keys()) ask(bench)
  })
  // The client library never comes back by itself after the server closed or refused the socket.
  const lost = () => {
    tell({ kind: 'link', link: 'disconnected' })
    if (!socket.active && wanted) setTimeout(() => wanted && socket.connect(), AGAIN_MS)
  }
  socket.on('disconnect', lost)
  socket.on('disconnect', () => wanted && onRefused())
  socket.on('connect_error', lost)
  // perhaps nobody is signed in here any more; only the server can say
  socket.on('connect_error', onRefused)
  socket.on('site', (site) => tell({ kind: 'site', site }))
  socket.on('benches', (benches) => tell({ kind: 'benches', benches }))
  socket.on('live', (live) => tell({ kind: 'live', live }))
  socket.on('curves', (curves) => tell({ kind: 'curves', curves }))
  socket.on('readings', (readings) => tell({ kind: 'readings', readings }))
  socket.on('alarms', (alarms) => tell({ kind: 'alarms', alarms }))
  socket.on('entries', ({ batch, seq }) => tell({ kind: 'entries', batch, seq }))

  return {
    watch: (bench) => {
      watched.set(bench, (watched.get(bench) ?? 0) + 1)
      if (socket.connected) ask(bench)
      return () => {
        const left = (watched.get(bench) ?? 1) - 1
        if (left > 0) watched.set(bench, left)
        else {
          watched.delete(bench)
          socket.emit('unwatch', bench)
        }
      }
    },
    open: () => {
      if (wanted) return
      wanted = true
      socket.connect()
    },
    pause: () => {
      wanted = false
      socket.disconnect()
    },
  }
}
