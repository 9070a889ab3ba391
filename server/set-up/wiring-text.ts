import { createHash } from 'node:crypto'
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { dirname } from 'node:path'
import { messageOf, ServerError } from '../errors.ts'

/** The wiring file as it stands; `version` changes with its bytes. */
export interface WiringText {
  readonly text: string
  readonly version: string
}

/** Null when there is no file. */
export const readWiringText = (path: string): WiringText | null => {
  if (!existsSync(path)) return null
  try {
    const text = readFileSync(path, 'utf8')
    return { text, version: createHash('sha256').update(text).digest('hex') }
  } catch (error) {
    throw new ServerError('not-available', `${path} cannot be read: ${messageOf(error)}`, { cause: error })
  }
}

/** Name of the last version, kept beside the file. */
export const previousOf = (path: string): string => `${path}.previous`

/**
 * Puts a new text in place of the one that was `expected`, whole or not at all; the old one stays beside it. A file
 * that somebody changed meanwhile is left as it is.
 */
export const replaceWiringText = (path: string, text: string, expected: string | null): WiringText => {
  const now = readWiringText(path)
  refuseWhenChanged(path, now, expected)
  const target = now === null ? path : realpathSync(path)
  try {
    mkdirSync(dirname(target), { recursive: true, mode: 0o700 })
    const mode = now === null ? 0o600 : statSync(target).mode & 0o777
    if (now !== null) writeWhole(previousOf(path), now.text, mode)
    // the last look stands as close to the change as it can
    writeWhole(target, text, mode, () => refuseWhenChanged(path, readWiringText(path), expected))
  } catch (error) {
    if (error instanceof ServerError) throw error
    throw new ServerError('not-available', `${path} cannot be written: ${messageOf(error)}`, {
      fix: 'nothing was changed; make room on the disk or let this user write there, and save again',
      cause: error,
    })
  }
  return readWiringText(path) ?? { text, version: '' }
}

/** Throws when what stands there is not what was read. */
export const refuseWhenChanged = (path: string, now: WiringText | null, expected: string | null): void => {
  if ((now?.version ?? null) === expected) return
  throw new ServerError('conflict', `${path} was changed by somebody else since this screen read it`, {
    fix: 'nothing was saved and nothing is lost: read it again, look at what changed, and save once more',
  })
}

const writeWhole = (path: string, text: string, mode: number, before: () => void = () => {}): void => {
  const draft = `${path}.new`
  rmSync(draft, { force: true })
  try {
    const file = openSync(draft, 'wx', mode)
    try {
      writeFileSync(file, text)
      fsyncSync(file)
    } finally {
      closeSync(file)
    }
    before()
    renameSync(draft, path)
  } finally {
    rmSync(draft, { force: true })
  }
}
