import type { Server as HttpServer, IncomingMessage } from 'node:http'
import { Server } from 'socket.io'
import type { Publish } from './live/engine.ts'
import type { Need } from './people/needs.ts'
import { EVENT_NEEDS } from './people/needs.ts'
import { siteView } from './routes/bench-routes.ts'
import { type Ours, whyForeign } from './routes/own-origin.ts'
import type { Service } from './service.ts'
import type { ScreenEvents, ServerEvents } from './wire.ts'

const BENCHES_EVERY_MS = 1000
const NOT_IN = 'nobody is signed in'
/** A screen that has this many messages unread is let go; it comes back by itself and starts from the present. */
const MOST_UNSENT = 300
const LARGEST_MESSAGE = 10_000

type Io = Server<ScreenEvents, ServerEvents>

/** The live side. `publish` may be used before `serve`; until then there is nobody to tell. */
export const createSockets = () => {
  let io: Io | undefined
  const room = (bench: string) => `bench:${bench}`
  const publish: Publish = {
    live: (bench) => io?.to(room(bench.bench)).emit('live', bench),
    curves: (curves) => io?.to(room(curves.bench)).emit('curves', curves),
    readings: (readings) => io?.to(room(readings.bench)).emit('readings', readings),
    alarms: (alarms) => io?.emit('alarms', alarms),
    entries: (entry) => io?.emit('entries', { batch: entry.batch, bench: entry.bench, seq: entry.seq }),
  }

  const serve = (http: HttpServer, service: Service, ours: Ours): (() => Promise<void>) => {
    const server: Io = new Server(http, {
      serveClient: false,
      maxHttpBufferSize: LARGEST_MESSAGE,
      allowRequest: (request, answer) => {
        const why =
          whyForeign(request, ours) ?? (mayNot(request, EVENT_NEEDS.connection) ? NOT_IN : undefined)
        answer(why ?? null, why === undefined)
      },
    })
    io = server
    const mayNot = (request: IncomingMessage, need: Need): boolean => {
      try {
        service.gate(request, need)
        return false
      } catch {
        return true
      }
    }
    /** Whoever signed out, was signed out or was revoked hears nothing more. */
    const letGo = () => {
      for (const socket of server.sockets.sockets.values())
        if (mayNot(socket.request, EVENT_NEEDS.connection)) socket.disconnect(true)
    }
    const stopLooking = service.people.onChanged(letGo)
    const benchIds = new Set(service.config.benches.map((b) => b.id))
    server.on('connection', (socket) => {
      socket.emit('site', siteView(service))
      socket.emit('benches', service.engine.all())
      socket.emit('alarms', service.engine.alarms())
      socket.on('watch', (bench, answer) => {
        if (typeof answer !== 'function') return
        if (mayNot(socket.request, EVENT_NEEDS.watch)) return answer(null)
        if (typeof bench !== 'string' || !benchIds.has(bench)) return answer(null)
        void socket.join(room(bench))
        answer(service.engine.bench(bench) ?? null)
      })
      socket.on('unwatch', (bench) => {
        if (typeof bench !== 'string' || mayNot(socket.request, EVENT_NEEDS.unwatch)) return
        void socket.leave(room(bench))
      })
    })
    const timer = setInterval(() => {
      letGo()
      if (server.engine.clientsCount > 0) server.emit('benches', service.engine.all())
      for (const socket of server.sockets.sockets.values())
        if (unsent(socket.conn) > MOST_UNSENT) socket.disconnect(true)
    }, BENCHES_EVERY_MS)
    return async () => {
      clearInterval(timer)
      stopLooking()
      await server.close()
    }
  }

  return { publish, serve }
}

const unsent = (connection: object): number => {
  const buffer = 'writeBuffer' in connection ? connection.writeBuffer : undefined
  return Array.isArray(buffer) ? buffer.length : 0
}
