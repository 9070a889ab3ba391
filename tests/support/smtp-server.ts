import { createServer, type Server, type Socket } from 'node:net'
import { TLSSocket } from 'node:tls'
import { onTestFinished } from 'vitest'

export interface Received {
  readonly from: string
  readonly to: string
  readonly user: string | null
  readonly isEncrypted: boolean
  /** The message with its header, dots unstuffed. */
  readonly data: string
  readonly atMs: number
}

export interface SmtpBehaviour {
  /** Asked with user and password; undefined: nobody is asked who they are. */
  login?: (user: string, password: string) => boolean
  /** Answer to a recipient, as `550 no such user`; undefined: taken. */
  recipient?: (address: string) => string | undefined
  /** Answer to the whole message; `silence` takes it and never says so, `hang-up` breaks the line off. */
  message?: (received: Received) => string | undefined
  /** PEM with key and certificate: then STARTTLS is offered. */
  pem?: string
}

export interface SmtpServer {
  readonly port: number
  /** Whole messages that came in, in order, acknowledged or not. */
  readonly received: Received[]
  /** Everything the clients said, line by line, as it came. */
  readonly heard: string[]
  readonly connections: () => number
  behave: SmtpBehaviour
  /** Nobody answers any more; `up` listens on the same port again. */
  down(): Promise<void>
  up(): Promise<void>
}

/** A mail server of RFC 5321 with AUTH PLAIN and LOGIN (RFC 4954), as much of both as a sender of mail needs. */
export const startSmtp = async (behave: SmtpBehaviour = {}): Promise<SmtpServer> => {
  const sockets = new Set<Socket>()
  const received: Received[] = []
  const heard: string[] = []
  let connections = 0
  let server: Server | undefined
  let port = 0
  const self: SmtpServer = {
    get port() {
      return port
    },
    received,
    heard,
    connections: () => connections,
    behave,
    down: async () => {
      const closed = new Promise((resolve) => server?.close(resolve))
      for (const socket of sockets) socket.destroy()
      await closed
    },
    up: async () => {
      server = createServer((socket) => {
        connections += 1
        sockets.add(socket)
        socket.on('error', () => {})
        socket.on('close', () => sockets.delete(socket))
        talk(socket, self, false, true)
      })
      await new Promise<void>((resolve, reject) => {
        server?.once('error', reject)
        server?.listen(port, '127.0.0.1', resolve)
      })
      const address = server.address()
      if (typeof address === 'object' && address) port = address.port
    },
  }
  await self.up()
  onTestFinished(() => self.down())
  return self
}

const talk = (socket: Socket, self: SmtpServer, isEncrypted: boolean, greets: boolean): void => {
  let state: 'commands' | 'data' | 'plain' | 'user' | 'password' = 'commands'
  let from = ''
  let to = ''
  let user: string | null = null
  let text: string[] = []
  let tail = ''
  const say = (line: string) => void socket.write(`${line}\r\n`)
  const login = (name: string, password: string) => {
    state = 'commands'
    const isRight = self.behave.login?.(name, password) === true
    if (isRight) user = name
    say(isRight ? '235 welcome' : '535 5.7.8 user or password is wrong')
  }
  const plain = (word: string) => {
    const [, name = '', password = ''] = Buffer.from(word, 'base64').toString('utf8').split('\0')
    login(name, password)
  }
  const complete = () => {
    state = 'commands'
    const message: Received = { from, to, user, isEncrypted, data: text.join('\r\n'), atMs: Date.now() }
    self.received.push(message)
    const answer = self.behave.message?.(message)
    if (answer === 'hang-up') socket.destroy()
    else if (answer !== 'silence') say(answer ?? '250 taken')
  }
  const command = (line: string) => {
    const [verb = '', ...rest] = line.split(' ')
    switch (verb.toUpperCase()) {
      case 'EHLO': {
        const offers = [
          ...(self.behave.pem !== undefined && !isEncrypted ? ['STARTTLS'] : []),
          ...(self.behave.login === undefined ? [] : ['AUTH PLAIN LOGIN']),
        ]
        for (const offer of ['loopback', ...offers]) say(`250-${offer}`)
        return say('250 8BITMIME')
      }
      case 'STARTTLS': {
        if (self.behave.pem === undefined) return say('502 not here')
        say('220 go ahead')
        socket.removeAllListeners('data')
        const pem = self.behave.pem ?? ''
        const secure = new TLSSocket(socket, { isServer: true, key: pem, cert: pem })
        secure.on('error', () => {})
        return talk(secure, self, true, false)
      }
      case 'AUTH':
        if (rest[0] === 'PLAIN' && rest[1] !== undefined) return plain(rest[1])
        state = rest[0] === 'PLAIN' ? 'plain' : 'user'
        return say(state === 'plain' ? '334 ' : '334 VXNlcm5hbWU6')
      case 'MAIL':
        if (self.behave.login !== undefined && user === null) return say('530 5.7.0 who are you')
        from = /<([^>]*)>/.exec(line)?.[1] ?? ''
        return say('250 fine')
      case 'RCPT':
        to = /<([^>]*)>/.exec(line)?.[1] ?? ''
        return say(self.behave.recipient?.(to) ?? '250 fine')
      case 'DATA':
        state = 'data'
        text = []
        return say('354 go on')
      case 'QUIT':
        say('221 bye')
        return void socket.end()
      default:
        return say(verb === 'RSET' || verb === 'NOOP' ? '250 fine' : '502 not here')
    }
  }
  let name = ''
  const take = (line: string) => {
    self.heard.push(line)
    switch (state) {
      case 'data':
        if (line === '.') complete()
        else text.push(line.startsWith('.') ? line.slice(1) : line)
        break
      case 'plain':
        plain(line)
        break
      case 'user':
        name = Buffer.from(line, 'base64').toString('utf8')
        state = 'password'
        say('334 UGFzc3dvcmQ6')
        break
      case 'password':
        login(name, Buffer.from(line, 'base64').toString('utf8'))
        break
      case 'commands':
        command(line)
    }
  }
  socket.on('data', (bytes: Buffer) => {
    const lines = `${tail}${bytes.toString('utf8')}`.split('\r\n')
    tail = lines.pop() ?? ''
    for (const line of lines) take(line)
  })
  if (greets) say('220 loopback')
}

/** One field of a message's header, folded lines put together. */
export const headerOf = ({ data }: Received, name: string): string => {
  const head = data.slice(0, data.indexOf('\r\n\r\n')).replace(/\r\n[ \t]+/g, ' ')
  return new RegExp(`^${name}: (.*)$`, 'im').exec(head)?.[1] ?? ''
}

/** Text of a message, whatever way it was written down for the journey. */
export const textOf = ({ data }: Received): string => {
  const body = data.slice(data.indexOf('\r\n\r\n') + 4)
  if (/^content-transfer-encoding: base64/im.test(data)) return Buffer.from(body, 'base64').toString('utf8')
  if (!/^content-transfer-encoding: quoted-printable/im.test(data)) return body
  const bytes = body
    .replace(/=\r\n/g, '')
    .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)))
  return Buffer.from(bytes, 'latin1').toString('utf8')
}
