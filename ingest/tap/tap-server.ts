import { randomBytes } from 'node:crypto'
import { createServer, type Socket } from 'node:net'
import type { Clock } from '../clock.ts'
import type { IngestConfig } from '../config.ts'
import type { PortConfig } from '../config-port.ts'
import { messageOf } from '../errors.ts'
import type { Log } from '../log.ts'
import type { PortStatus } from '../store/store.ts'
import type { TapHub } from './hub.ts'
import { createRing } from './ring.ts'
import type { TapEvent } from './tap-event.ts'
import { removeTapFile, writeTapFile } from './tap-file.ts'
import { LONGEST_MESSAGE, type TapQuestion, understand } from './tap-message.ts'
import { isSameSource, listenOnTrial, type Trial, trialPort } from './trial.ts'

export interface TapOptions {
  readonly home: string
  readonly clock: Clock
  readonly log: Pick<Log, 'error'>
  readonly hub: TapHub
  readonly status: () => PortStatus[]
  readonly wiring: () => IngestConfig
  readonly limits?: TapLimits
}

export interface TapLimits {
  readonly listeners: number
  /** A trial holds its port no longer; listening to a port at work ends then too. */
  readonly longestMs: number
  readonly messageWithinMs: number
}

const LIMITS: TapLimits = { listeners: 8, longestMs: 900_000, messageWithinMs: 5000 }
const TELL_EVERY_MS = 100
/** A screen that listens anew has only just left: its last connection is given a moment to end. */
const LOOK_EVERY_MS = 100
const LOOKS_FOR_ROOM = 15

export interface Tap {
  /** Lets go of the devices that a changed wiring wants to open. */
  release(ports: readonly PortConfig[]): void
  stop(): void
}

interface Session {
  readonly source: PortConfig['source'] | null
  end(why: string): void
}

/**
 * The daemon's door for setting up a meter: one question a connection, on the loopback interface, guarded by a token
 * that only the owner of the home folder can read. Whatever a listener does, logging goes on: it is told what fits.
 */
export const startTap = (options: TapOptions): Tap => {
  const { home, log, limits = LIMITS } = options
  const token = randomBytes(32).toString('hex')
  const sockets = new Set<Socket>()
  const sessions = new Set<Session>()

  const answer = (socket: Socket, question: TapQuestion, looks = LOOKS_FOR_ROOM) => {
    if (socket.destroyed) return
    if (question.ask === 'status') return say(socket, { ports: options.status() }, true)
    const why =
      sessions.size >= limits.listeners
        ? `${limits.listeners} are listening already: close another screen that listens`
        : whyNot(question)
    if (why !== undefined) return refuse(socket, why)
    if (isTaken(question)) {
      if (looks > 0) return void setTimeout(answer, LOOK_EVERY_MS, socket, question, looks - 1)
      return refuse(socket, 'another screen is listening to it already: close that one first')
    }
    const session = startSession(options, question, socket, limits.longestMs)
    sessions.add(session)
    socket.once('close', () => sessions.delete(session))
  }

  const whyNot = (question: Exclude<TapQuestion, { ask: 'status' }>): string | undefined => {
    const { ports } = options.wiring()
    if ('port' in question)
      return ports.some((p) => p.name === question.port)
        ? undefined
        : `port needs one of the ports: ${ports.map((p) => p.name).join(', ') || '(none)'}, got ${question.port}`
    const { source } = trialPort(question.trial, home)
    const holder = ports.find((p) => isSameSource(p.source, source))
    return holder && `port ${holder.name} has it open already: listen to that port`
  }

  const isTaken = (question: Exclude<TapQuestion, { ask: 'status' }>): boolean => {
    if ('port' in question) return false
    const { source } = trialPort(question.trial, home)
    return [...sessions].some((s) => s.source !== null && isSameSource(s.source, source))
  }

  const server = createServer((socket) => {
    sockets.add(socket)
    socket.on('error', () => {})
    socket.once('close', () => sockets.delete(socket))
    firstLine(socket, limits.messageWithinMs, (line) => {
      if (line === undefined)
        return refuse(socket, `a message needs to be one line under ${LONGEST_MESSAGE} bytes, sent at once`)
      const understood = understand(line, token)
      if (understood.ok) answer(socket, understood.question)
      else refuse(socket, understood.why)
    })
  })
  const give = (error: unknown) =>
    log.error({ why: messageOf(error) }, 'ports cannot be listened to; logging goes on')
  server.on('error', give)
  server.maxConnections = limits.listeners * 4
  server.listen(0, '127.0.0.1', () => {
    const address = server.address()
    try {
      if (typeof address === 'object' && address) writeTapFile(home, { port: address.port, token })
    } catch (error) {
      give(error)
    }
  })

  return {
    release: (ports) => {
      for (const session of sessions)
        if (session.source !== null && ports.some((p) => isSameSource(p.source, session.source ?? p.source)))
          session.end('the port is wired now and was handed over')
    },
    stop: () => {
      for (const session of sessions) session.end('the logging program stops')
      for (const socket of sockets) socket.destroy()
      server.close()
      removeTapFile(home)
    },
  }
}

const startSession = (
  { home, clock, hub, status }: TapOptions,
  question: Exclude<TapQuestion, { ask: 'status' }>,
  socket: Socket,
  longestMs: number,
): Session => {
  const ring = createRing()
  const flush = () => {
    // a listener that does not keep up finds the newest in the ring when it does
    if (!socket.writableNeedDrain) for (const event of ring.take()) say(socket, event)
  }
  say(socket, {
    kind: 'listening',
    port: 'port' in question ? question.port : null,
    at_most_s: longestMs / 1000,
  })
  const close =
    'port' in question ? hub.listen(question.port, ring.put) : onTrial(question.trial, home, clock, ring.put)
  if ('port' in question) {
    const now = status().find((s) => s.port === question.port)
    if (now) ring.put({ kind: 'state', state: now.state, why: now.why })
  }
  const telling = setInterval(flush, TELL_EVERY_MS)
  const end = (why: string) => {
    flush()
    say(socket, { kind: 'ended', why }, true)
    over()
  }
  const tooLong = setTimeout(() => end(`listened for ${Math.round(longestMs / 60_000)} min`), longestMs)
  let isOver = false
  const over = () => {
    if (isOver) return
    isOver = true
    clearInterval(telling)
    clearTimeout(tooLong)
    close()
  }
  socket.once('close', over)
  // also when the other side only stopped sending: whoever has left does not hold the port
  socket.once('end', () => socket.destroy())
  return { source: 'trial' in question ? trialPort(question.trial, home).source : null, end }
}

const onTrial = (trial: Trial, home: string, clock: Clock, tell: (event: TapEvent) => void) =>
  listenOnTrial(trial, home, clock, tell)

const say = (socket: Socket, message: unknown, last = false): void => {
  if (!socket.writable) return
  socket.write(`${JSON.stringify(message)}\n`)
  if (last) socket.end()
}

const refuse = (socket: Socket, why: string): void => {
  say(socket, { kind: 'refused', why } satisfies TapEvent, true)
}

/** Calls back once: with the first line, or with undefined when it is too long or does not come. */
const firstLine = (socket: Socket, withinMs: number, take: (line: string | undefined) => void): void => {
  let held = Buffer.alloc(0)
  const done = (line: string | undefined) => {
    clearTimeout(timer)
    socket.off('data', onData)
    // what else is sent is read and thrown away, so that a closed connection is noticed
    socket.resume()
    take(line)
  }
  const onData = (chunk: Buffer) => {
    held = Buffer.concat([held, chunk])
    const end = held.indexOf(10)
    if (end < 0 ? held.length > LONGEST_MESSAGE : end > LONGEST_MESSAGE) return done(undefined)
    if (end >= 0) done(held.toString('utf8', 0, end))
  }
  const timer = setTimeout(() => done(undefined), withinMs)
  socket.on('data', onData)
  socket.once('close', () => clearTimeout(timer))
}
