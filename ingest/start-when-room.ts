import { messageOf } from './errors.ts'
import type { Log } from './log.ts'

const AGAIN_MS = 5000
/** What SQLite and the operating system call a disk without room, also for the file that its connections share. */
const NO_ROOM = new Set(['SQLITE_FULL', 'SQLITE_IOERR_SHMSIZE', 'SQLITE_IOERR_WRITE', 'ENOSPC'])

/** Is it, or what caused it, a full disk? */
export const isDiskFull = (error: unknown): boolean =>
  error instanceof Error && (('code' in error && NO_ROOM.has(String(error.code))) || isDiskFull(error.cause))

/**
 * Starts something that needs room on the disk; without room it says so and tries again until there is. Other faults are
 * thrown the first time. Returns a function that ends what was started, or the waiting for it.
 */
export const startWhenRoom = (
  start: () => () => void,
  log: Pick<Log, 'error' | 'info'>,
  againMs = AGAIN_MS,
): (() => void) => {
  let timer: NodeJS.Timeout | undefined
  let stop = () => clearTimeout(timer)
  const attempt = (waited: boolean) => {
    try {
      stop = start()
      if (waited) log.info('there is room on the disk again: readings are being logged')
    } catch (error) {
      if (!isDiskFull(error)) throw error
      log.error({ why: messageOf(error) }, 'the disk is full: NO READINGS ARE BEING LOGGED; trying again')
      timer = setTimeout(() => attempt(true), againMs)
    }
  }
  attempt(false)
  return () => stop()
}
