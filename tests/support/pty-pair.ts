import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, lstatSync, readlinkSync, renameSync, rmSync, symlinkSync } from 'node:fs'
import { until } from './until.ts'

/** Pseudo-terminals stand in for a serial adapter; only Linux has been tried, and only with socat there. */
export const canPair =
  process.platform === 'linux' && ['/usr/bin/socat', '/usr/local/bin/socat'].some((path) => existsSync(path))

/** One serial adapter in a socket: `link` is its stable name, `tty` what is behind it at the moment. */
export interface Cable {
  readonly tty: string
  send(bytes: string | Buffer): boolean
  /** What the program sends to the instrument. */
  onBytes(listener: (bytes: Buffer) => void): void
  /** Out of its socket: the device and its link are gone. */
  pull(): Promise<void>
}

const plugged = new Set<ChildProcess>()

export const plugIn = async (link: string): Promise<Cable> => {
  const socat = spawn('socat', ['-', `pty,raw,echo=0,link=${link}`], {
    stdio: ['pipe', 'pipe', 'ignore'],
  })
  plugged.add(socat)
  socat.stdin.on('error', () => {})
  socat.stdout.resume()
  const tty = await until(`${link} to appear`, () => existsSync(link) && readlinkSync(link))
  return {
    tty,
    send: (bytes) => {
      if (socat.exitCode !== null || socat.signalCode !== null) return false
      socat.stdin.write(bytes)
      return true
    },
    onBytes: (listener) => void socat.stdout.on('data', listener),
    pull: async () => {
      const gone = new Promise((resolve) => socat.once('exit', resolve))
      socat.kill('SIGTERM')
      await gone
      plugged.delete(socat)
      rmSync(link, { force: true })
    },
  }
}

/** Makes the stable name point at another tty, as the system does after the same adapter got another number. */
export const relink = (link: string, tty: string): void => {
  symlinkSync(tty, `${link}.new`)
  renameSync(`${link}.new`, link)
}

export const isThere = (link: string): boolean => lstatSync(link, { throwIfNoEntry: false }) !== undefined

/** For `afterEach`. */
export const unplugAll = async (): Promise<void> => {
  const ends = [...plugged].map((child) =>
    child.exitCode !== null || child.signalCode !== null
      ? undefined
      : new Promise((resolve) => child.once('exit', resolve)),
  )
  for (const child of plugged) child.kill('SIGTERM')
  await Promise.all(ends)
  plugged.clear()
}
