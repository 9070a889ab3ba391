import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { Server } from 'socket.io'
import type {
  Act,
  AlarmView,
  Curves,
  LiveBench,
  MethodSheetView,
  Problem,
  ScreenEvents,
  ServerEvents,
  Site,
} from '../../server/wire.ts'
import { fakeApi } from './fake-api.ts'
import { sendFile } from './fake-files.ts'

/** What the stand-in shows; every field can be changed while it runs. */
export interface FakeState {
  site: Site
  /** Made anew each second, so that ages and countdowns move as they do on a real server. */
  benches: (now: number) => LiveBench[]
  curves: (now: number, live: LiveBench) => Curves
  alarms: (now: number) => AlarmView[]
  /** Answers this problem to the next entry instead of taking it. */
  refuse: Omit<Problem, 'type' | 'title'> | null
  posted: { path: string; body: Act }[]
  /** Method sheets; none unless a test puts them there. */
  sheets: (now: number) => MethodSheetView[]
}

export interface FakeServer {
  readonly url: string
  readonly state: FakeState
  /** Sends the present state to every screen now. */
  readonly say: () => void
  /** One message to every screen, beside what it says by itself. */
  readonly tell: Server<ScreenEvents, ServerEvents>['emit']
  /** Silence with the connection open. */
  readonly hush: (on: boolean) => void
  /** Cuts every connection and refuses new ones until called with false. */
  readonly cut: (on: boolean) => void
  readonly close: () => Promise<void>
}

/** The strictest policy the screens must live with. */
const POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

export const startFakeServer = async (state: FakeState, root: string, port = 0): Promise<FakeServer> => {
  let hushed = false
  let cutOff = false
  const answer = (request: IncomingMessage, response: ServerResponse): void => {
    response.setHeader('content-security-policy', POLICY)
    if (cutOff) response.destroy()
    else if ((request.url ?? '').startsWith('/api/')) void fakeApi(state, request, response)
    else void sendFile(root, request.url ?? '/', response)
  }
  const http = createServer(answer)
  const io = new Server<ScreenEvents, ServerEvents>(http, { allowRequest: (_, ok) => ok(null, !cutOff) })

  const say = (): void => {
    if (hushed) return
    const now = Date.now()
    const benches = state.benches(now)
    io.emit('site', state.site)
    io.emit('benches', benches)
    io.emit('alarms', state.alarms(now))
    for (const live of benches) io.to(live.bench).emit('curves', state.curves(now, live))
    for (const live of benches) io.to(live.bench).emit('live', live)
  }

  io.on('connection', (socket) => {
    socket.on('watch', (bench, reply) => {
      void socket.join(bench)
      const now = Date.now()
      const live = state.benches(now).find((b) => b.bench === bench)
      reply(live === undefined ? null : { live, curves: state.curves(now, live) })
    })
    socket.on('unwatch', (bench) => void socket.leave(bench))
    say()
  })
  const timer = setInterval(say, 1000)
  await new Promise<void>((done) => http.listen(port, '127.0.0.1', done))
  return {
    url: `http://127.0.0.1:${(http.address() as AddressInfo).port}`,
    state,
    say,
    tell: (event, ...message) => io.emit(event, ...message),
    hush: (on) => {
      hushed = on
    },
    cut: (on) => {
      cutOff = on
      if (on) io.disconnectSockets(true)
    },
    close: async () => {
      clearInterval(timer)
      http.closeAllConnections()
      await io.close()
    },
  }
}
