import { createHash } from 'node:crypto'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { recordOutboxFile } from '../../ingest/store/outbox.ts'
import { verifyChain } from '../../server/ledger/hash-chain.ts'
import { Ledger, type NewEntry } from '../../server/ledger/ledger.ts'
import { readMirror } from '../../server/mirror/read-mirror.ts'
import { person } from '../support/api.ts'
import { newEntry } from '../support/entries.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { endAll, type Program, runCommand, runPart, runToEnd } from '../support/program.ts'
import { acknowledgedIn } from '../support/sent-on.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const PAST = 10_000
/** Each entry is a series of its own, which takes the server some time on a busy machine. */
const LONG_MS = 150_000
/** Everything a line of the protocol could stumble over. */
const HARD = 'quotes " \' back\\slash \\n, = { } tab\t µg/mL 氧 🫧 line\nline'

/** All at the same moment: only their ids keep them apart. */
const past = (): NewEntry[] => [
  newEntry('note', 1, { text: HARD }),
  ...Array.from({ length: PAST - 1 }, (_, i) => newEntry('note', 1, { text: `note ${i}` })),
]

const acknowledgedOf = (home: string): number => acknowledgedIn(recordOutboxFile(home))

describe.skipIf(!hasInflux)('the record mirrored to InfluxDB', () => {
  it('holds every entry once, in an unbroken chain, after the server and the mirror were killed in the middle of it', async () => {
    const influx = await startInflux()
    onTestFinished(() => influx.close())
    for (const name of ['ozone', 'ozone-record']) await influx.tell(`CREATE DATABASE "${name}"`)
    const target = `influx: { version: 1, url: "${influx.url}", database: ozone, record_database: ozone-record }`
    const yaml = wiring({ port: tcpPort(9) })
    const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
    const written = new Ledger(join(home, 'ledger.db'), 'real')
    written.appendAll(past())
    written.close()

    const runMirror = () => runPart(['mirror', '--wait-scale', '0.1'], { home })
    const port = String(await freePort())
    const server = runPart(['serve'], { home, env: { PORT: port } })
    await server.started()
    const ines = person(`http://127.0.0.1:${port}`)
    const mirrored = async () => (await ines.health()).record_mirror
    expect(await mirrored()).toMatchObject({ state: 'never-ran', alive: false })

    let mirror: Program = runMirror()
    await mirror.started()
    await until('a part of it to be there', () => acknowledgedOf(home) > 0)
    await influx.kill('SIGKILL')
    expect(acknowledgedOf(home)).toBeLessThan(PAST)
    // what people do meanwhile is not held up
    const batch = await ines.opens()
    await ines.does(batch, { kind: 'ozone-on' })
    await until('the backlog to be seen', async () => {
      const now = await mirrored()
      return now?.state === 'waiting' && now.waiting > 0 && now.why?.includes('ECONNREFUSED')
    })
    mirror.kill('SIGKILL')
    await mirror.ended()
    await influx.start()
    mirror = runMirror()
    await mirror.started()
    await ines.does(batch, { kind: 'ozone-off' })

    const ledger = new Ledger(join(home, 'ledger.db'), 'real', false)
    onTestFinished(() => ledger.close())
    const all = () => acknowledgedOf(home) === ledger.head().entries
    // no logging program runs here: after the alarm about that nothing more is recorded
    await until('the alarm about it', () => ines.siteAlarm('logging-stopped'))
    await until('all of it to be there', all, LONG_MS)
    const connection = connectInflux(influx.target('ozone-record'), { kind: 'none' })
    const there = await until('what was entered meanwhile', async () => {
      const entries = await readMirror(connection, 'Test clinic')
      return entries.length === ledger.head().entries && entries
    })
    expect(there).toEqual([...ledger.all()])
    expect(verifyChain(there, ledger.head())).toMatchObject({ ok: true, anchor: 'matches' })
    expect(there[0]?.data).toEqual({ text: HARD })

    const verified = await runToEnd(['ledger', 'verify', '--mirror'], { home })
    expect(verified.stderr).toBe('')
    expect(verified.stdout).toContain(
      `The mirror verifies: ${there.length} entries, head ${there.at(-1)?.hash}`,
    )
    expect(await mirrored()).toMatchObject({ alive: true, refused: 0, proved: true })

    // for other tools: the hash is that of the text that stands beside it, the batch can be asked for
    const [rows] = await connection.query(
      `SELECT kind, who, json, hash FROM entry WHERE batch = '${batch}' ORDER BY time`,
    )
    const found = rows?.flatMap((group) => group.rows) ?? []
    expect(found.map((r) => [r['kind'], r['who']])).toEqual([
      ['batch-opened', 'Ines'],
      ['ozone-on', 'Ines'],
      ['ozone-off', 'Ines'],
    ])
    for (const row of found)
      expect(createHash('sha256').update(String(row['json'])).digest('hex')).toBe(row['hash'])

    // an entry changed there is found
    await influx.tell(`DELETE FROM entry WHERE entry = '${there[10]?.id}'`, 'ozone-record')
    const cut = await runToEnd(['ledger', 'verify', '--mirror'], { home })
    expect(cut.code).toBe(2)
    expect(cut.stderr).toContain('the mirror does not verify: entry 11 is missing')
  }, 240_000)

  it('is a part of its own beside the others, and its absence holds nothing up', async () => {
    const target = `influx: { version: 1, url: "http://127.0.0.1:${await freePort()}", database: o, record_database: r }`
    const yaml = wiring({ port: tcpPort(9) })
    const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
    const port = String(await freePort())
    const program = runCommand(['start'], { home, env: { PORT: port } })
    await program.says(/Spargewatch: http/)
    const ines = person(`http://127.0.0.1:${port}`)
    await ines.opens()
    await until('both parts to say that nobody is there', async () => {
      const { forwarding, record_mirror: mirror } = await ines.health()
      return forwarding?.alive && mirror?.alive && mirror.state === 'waiting' && mirror.waiting > 0
    })
    program.kill('SIGTERM')
    expect((await program.ended()).code).toBe(0)
  }, 120_000)
})
