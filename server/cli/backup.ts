import { createHash } from 'node:crypto'
import {
  chmodSync,
  copyFileSync,
  createReadStream,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  writeFileSync,
} from 'node:fs'
import { join, resolve } from 'node:path'
import { pipeline } from 'node:stream/promises'
import Database from 'better-sqlite3'
import type { Command } from 'commander'
import { z } from 'zod'
import { configFile } from '../../ingest/config.ts'
import { claimHome, readingsFile } from '../../ingest/store/home.ts'
import { resultsFile } from '../../ingest/store/kept-results.ts'
import { readSurroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { ledgerFile } from '../home-files.ts'
import { verifyChain } from '../ledger/hash-chain.ts'
import { openPeopleFile, peopleFile } from '../people/people-file.ts'
import { openResults } from '../report/kept-document.ts'
import { configOf, openLedgerOf, openReadingsOf } from './open-home.ts'

const MANIFEST = 'spargewatch-backup.json'
const FILES = ['readings.db', 'ledger.db', 'spargewatch.yaml'] as const
/** There where raw readings are removed after some time. */
const RESULTS = 'results.db'
/** There once people were set up. */
const PEOPLE = 'people.db'
const OPTIONAL = [RESULTS, PEOPLE]

const manifestSchema = z.object({
  schema: z.literal('spargewatch.backup/1'),
  made_at: z.iso.datetime(),
  site: z.string(),
  simulated: z.boolean(),
  ledger: z.object({ entries: z.number(), head: z.string() }),
  files: z.record(z.string(), z.string()),
})

export const registerBackup = (program: Command): void => {
  program
    .command('backup')
    .description('copy readings, ledger and config into a new folder, while everything runs')
    .argument('<folder>', 'folder to make')
    .action(async (folder: string) => backUp(readSurroundings().home, resolve(folder)))
  program
    .command('restore')
    .description('bring a back-up into SPARGEWATCH_HOME; what is there now is set aside, not deleted')
    .argument('<folder>', 'folder that "backup" made')
    .action(async (folder: string) => restore(resolve(folder), readSurroundings().home))
}

/**
 * All pages in one step. In several, SQLite begins again whenever another process has written in between: beside
 * a running daemon the copy of a large file would never end. Writers are not held up meanwhile.
 */
const IN_ONE_STEP = { progress: () => 0x7fff_ffff }

/** SQLite's own online back-up: consistent although others write meanwhile. */
const backUp = async (home: string, folder: string): Promise<void> => {
  const config = configOf(home)
  if (existsSync(folder) && readdirSync(folder).length > 0)
    throw new ServerError('bad-request', `${folder} needs to be new or empty`)
  mkdirSync(folder, { recursive: true, mode: 0o700 })
  const store = openReadingsOf(home, false)
  const ledger = openLedgerOf(home)
  // readings first: every entry then speaks of readings that the copy has
  await store.db.backup(join(folder, 'readings.db'), IN_ONE_STEP)
  const head = ledger.head()
  await ledger.db.backup(join(folder, 'ledger.db'), IN_ONE_STEP)
  // results last: the record's hash of them is checked where they are used
  const results = openResults(config, false)
  await results?.db.backup(join(folder, RESULTS), IN_ONE_STEP)
  results?.close()
  await store.close()
  ledger.close()
  await backUpPeople(home, config.simulated, join(folder, PEOPLE))
  const names = [...FILES, ...OPTIONAL.filter((name) => existsSync(join(folder, name)))]
  copyFileSync(configFile(home), join(folder, 'spargewatch.yaml'))
  for (const name of names) chmodSync(join(folder, name), 0o600)
  const files = Object.fromEntries(
    await Promise.all(names.map(async (name) => [name, await hashFile(join(folder, name))] as const)),
  )
  const manifest = {
    schema: 'spargewatch.backup/1',
    made_at: new Date().toISOString(),
    site: config.site,
    simulated: config.simulated,
    ledger: head,
    files,
  }
  writeFileSync(join(folder, MANIFEST), `${JSON.stringify(manifest, null, 2)}\n`, { mode: 0o600 })
  console.log(`Backed up to ${folder}: ledger of at least ${head.entries} entries, head ${head.head}`)
}

/** Who can sign in, with the hashes; nobody is signed in by a back-up, and no link opens it. */
const backUpPeople = async (home: string, simulated: boolean, copy: string): Promise<void> => {
  if (!existsSync(peopleFile(home))) return
  const db = openPeopleFile(home, simulated ? 'simulated' : 'real')
  await db.backup(copy, IN_ONE_STEP)
  db.close()
  const copied = new Database(copy)
  copied.exec('DELETE FROM session; DELETE FROM link; VACUUM')
  copied.close()
}

const restore = async (folder: string, home: string): Promise<void> => {
  const manifest = readManifest(folder)
  const names = [...FILES, ...OPTIONAL.filter((name) => manifest.files[name] !== undefined)]
  for (const name of names) {
    const found = existsSync(join(folder, name)) ? await hashFile(join(folder, name)) : 'nothing'
    if (found !== manifest.files[name])
      throw new ServerError('bad-request', `${join(folder, name)} is not the file that was backed up`, {
        fix: 'use another back-up',
      })
  }
  mkdirSync(home, { recursive: true, mode: 0o700 })
  const releases = (['supervisor', 'daemon', 'server', 'forwarder', 'mirror'] as const).map((part) =>
    claimHome(home, part),
  )
  setAside(home)
  for (const name of names) {
    copyFileSync(join(folder, name), join(home, name))
    chmodSync(join(home, name), 0o600)
  }
  const ledger = openLedgerOf(home)
  const result = verifyChain(ledger.all(), manifest.ledger)
  ledger.close()
  for (const release of releases) release()
  if (!result.ok) throw new ServerError('ledger-broken', `the restored ledger does not verify: ${result.why}`)
  console.log(
    `Restored from ${folder} (made ${manifest.made_at}): ledger verifies, ${result.entries} entries, head ${result.head}`,
  )
}

const setAside = (home: string): void => {
  const present = [readingsFile, ledgerFile, resultsFile, peopleFile, configFile]
    .map((file) => file(home))
    .flatMap((file) => [file, `${file}-wal`, `${file}-shm`])
    .filter((file) => existsSync(file))
  if (present.length === 0) return
  const aside = join(home, `before-restore-${new Date().toISOString().replaceAll(':', '-')}`)
  mkdirSync(aside, { mode: 0o700 })
  for (const file of present) renameSync(file, join(aside, file.slice(home.length + 1)))
  console.log(`What was in ${home} is now in ${aside}`)
}

const readManifest = (folder: string): z.infer<typeof manifestSchema> => {
  const path = join(folder, MANIFEST)
  if (!existsSync(path))
    throw new ServerError('not-found', `${folder} is not a back-up: ${MANIFEST} is missing`)
  const parsed = manifestSchema.safeParse(jsonOr(readFileSync(path, 'utf8'), null))
  if (!parsed.success)
    throw new ServerError('bad-request', `${path} is not readable as a back-up's list of contents`)
  return parsed.data
}

const jsonOr = (text: string, otherwise: unknown): unknown => {
  try {
    return JSON.parse(text)
  } catch {
    return otherwise
  }
}

const hashFile = async (path: string): Promise<string> => {
  const hash = createHash('sha256')
  await pipeline(createReadStream(path), hash)
  return hash.digest('hex')
}
