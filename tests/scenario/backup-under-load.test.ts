import { appendFileSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { Ledger } from '../../server/ledger/ledger.ts'
import { person } from '../support/api.ts'
import { keepTicking, startBoth, untilLive } from '../support/at-work.ts'
import { runHere } from '../support/command-here.ts'
import { BATCH, newEntry, OPENED } from '../support/entries.ts'
import { makeHome, readingsOf, tcpPort, valuesOf, wiring } from '../support/home.ts'
import { startMeter } from '../support/meter.ts'
import { endAll, runPart, runToEnd } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { pause } from '../support/until.ts'

afterEach(endAll)

/** Years of readings: a copy takes far longer than the time between two commits of a busy daemon. */
const OLD_MB = 120

const makeLarge = (home: string): void => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  store.db.exec('CREATE TABLE old (bytes BLOB)')
  const add = store.db.prepare('INSERT INTO old (bytes) VALUES (zeroblob(1048576))')
  store.db.transaction(() => {
    for (let i = 0; i < OLD_MB; i++) add.run()
  })()
  store.db.close()
}

/** A back-up of a home with a little in it, nothing running. */
const smallBackup = async () => {
  const home = makeHome(wiring({ port: tcpPort(9) }))
  const ledger = new Ledger(join(home, 'ledger.db'), 'real')
  ledger.append(newEntry('batch-opened', 0, OPENED))
  ledger.close()
  const folder = join(temporaryFolder(), 'back-up')
  expect(await runHere(['backup', folder], home)).toEqual({ code: 0, stderr: '' })
  return { home, folder }
}

const newFolder = (): string => join(temporaryFolder(), 'new')

describe('spargewatch backup', () => {
  it('is whole although daemon and server write all the while, and comes back as it was', async () => {
    const meter = await startMeter()
    onTestFinished(() => meter.close())
    const home = makeHome(wiring({ port: tcpPort(meter.port), intervalS: 0.1, commitMs: 5 }))
    makeLarge(home)
    keepTicking(meter, 10)
    const work = await startBoth(home)
    const batch = await work.ines.opens()
    await untilLive(work)
    let writing = true
    const notes = (async () => {
      for (; writing; await pause(30))
        await work.ines.enter(batch, { kind: 'note', data: { text: 'busy' } }, 1_000_000, { id: uuidv7() })
    })()
    const stored = readingsOf(home)
    const folder = newFolder()
    const made = await runToEnd(['backup', folder], { home })
    writing = false
    await notes
    expect(made).toMatchObject({ code: 0, stderr: '' })
    const [, entries, head] = /at least (\d+) entries, head ([0-9a-f]{64})/.exec(made.stdout) ?? []
    expect(Number(entries)).toBeGreaterThan(1)

    const refused = await runToEnd(['restore', folder], { home })
    expect(refused.code).toBe(2)
    expect(refused.stderr).toContain('is already in use by another')
    expect((await work.ines.bench()).potency.state, 'and nothing was touched').toBe('live')

    const restored = newFolder()
    const done = await runToEnd(['restore', folder], { home: restored })
    expect(done).toMatchObject({ code: 0, stderr: '' })
    const verified = await runToEnd(['ledger', 'verify', '--anchor', `${entries}:${head}`], {
      home: restored,
    })
    expect(verified.stdout).toContain('anchor: matches')
    const values = new Set(valuesOf(readingsOf(restored)))
    for (const value of valuesOf(stored)) expect(values.has(value)).toBe(true)
    expect(values.size).toBeGreaterThan(0)
    const modes = readdirSync(restored)
      .filter((name) => /^(readings\.db|ledger\.db|spargewatch\.yaml)$/.test(name))
      .map((name) => (statSync(join(restored, name)).mode & 0o777).toString(8))
    expect(modes).toEqual(['600', '600', '600'])

    const server = runPart(['serve'], { home: restored })
    const { address } = await server.started()
    expect((await fetch(`${address}/api/batches/${batch}`)).status).toBe(200)
  })

  it('refuses a folder with something in it', async () => {
    const { home, folder } = await smallBackup()
    const { code, stderr } = await runHere(['backup', folder], home)
    expect(code).toBe(2)
    expect(stderr).toBe(`spargewatch: ${folder} needs to be new or empty\n`)
  })
})

describe('spargewatch restore', () => {
  it('sets aside what was there, and the ledger goes on from the back-up', async () => {
    const { home, folder } = await smallBackup()
    const later = runPart(['serve'], { home })
    const note = { kind: 'note', data: { text: 'after the back-up' } } as const
    await person((await later.started()).address).does(BATCH, note)
    later.kill('SIGKILL')
    await later.ended()
    const { code, stdout } = await runToEnd(['restore', folder], { home })
    expect(code).toBe(0)
    const [, aside = ''] = /is now in (\S+)/.exec(stdout) ?? []
    expect(existsSync(join(aside, 'ledger.db'))).toBe(true)
    const again = person((await runPart(['serve'], { home }).started()).address)
    const kinds = (await again.record(BATCH)).entries.map((e) => e.kind)
    expect(kinds).not.toContain('note')
    await again.does(BATCH, note)
    expect((await runToEnd(['ledger', 'verify'], { home })).code).toBe(0)
  })

  it.each([
    ['one byte more in the ledger', (folder: string) => appendFileSync(join(folder, 'ledger.db'), 'x')],
    [
      'one byte changed in the readings',
      (folder: string) => {
        const bytes = readFileSync(join(folder, 'readings.db'))
        bytes[bytes.length - 10] = (bytes[bytes.length - 10] ?? 0) ^ 1
        writeFileSync(join(folder, 'readings.db'), bytes)
      },
    ],
    ['another config', (folder: string) => appendFileSync(join(folder, 'spargewatch.yaml'), '# changed\n')],
    [
      'a list of contents that is no JSON',
      (folder: string) => writeFileSync(join(folder, 'spargewatch-backup.json'), '{'),
    ],
    ['no list of contents', (folder: string) => writeFileSync(join(folder, 'spargewatch-backup.json'), '')],
  ])('refuses a back-up with %s and leaves the home alone', async (_name, tamper) => {
    const { home, folder } = await smallBackup()
    tamper(folder)
    const before = readdirSync(home).sort()
    const { code, stderr } = await runHere(['restore', folder], home)
    expect(code).toBe(2)
    expect(stderr.trimEnd().split('\n')).toHaveLength(1)
    expect(stderr).toMatch(/is not the file that was backed up|is not readable as a back-up/)
    expect(readdirSync(home).sort()).toEqual(before)
  })
})
