import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { IngestError, messageOf } from '../errors.ts'

const schema = z.object({ port: z.number().int().min(1).max(65_535), token: z.string().length(64) })

/** Where the daemon listens on the loopback interface, and the word that it wants to hear first. */
export type TapAddress = z.infer<typeof schema>

const tapFile = (home: string): string => join(home, 'tap.json')

/** Only the owner may read it; whoever reads it meanwhile sees the old one or the new one whole. */
export const writeTapFile = (home: string, address: TapAddress): void => {
  const path = tapFile(home)
  rmSync(`${path}.new`, { force: true })
  writeFileSync(`${path}.new`, JSON.stringify(address), { mode: 0o600, flag: 'wx' })
  renameSync(`${path}.new`, path)
}

export const removeTapFile = (home: string): void => rmSync(tapFile(home), { force: true })

export const readTapFile = (home: string): TapAddress => {
  try {
    return schema.parse(JSON.parse(readFileSync(tapFile(home), 'utf8')))
  } catch (error) {
    throw new IngestError(
      'tap-failed',
      'the logging program is not running, or not with this home folder: start it first',
      { why: messageOf(error) },
      error,
    )
  }
}
