import { copyFileSync, mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { Ledger } from '../../server/ledger/ledger.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { descendantsOf, endAll, isAlive, runPart, runStart } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

/** Nothing of ours listens there: the daemon tries again for ever, which is no reason not to start. */
const NOBODY = tcpPort(9)

/** What `npm start` says when it does not start, line by line. */
const refusal = async (home: string, env: NodeJS.ProcessEnv = {}) => {
  const program = runStart({ home, env })
  const { code } = await program.ended()
  const said = program
    .stderr()
    .split('\n')
    .filter((line) => line.trim() !== '')
  return { code, said, stdout: program.stdout() }
}

const makeFiles = (home: string, kind: 'real' | 'simulated') => {
  new SqliteStore({ path: join(home, 'readings.db'), kind, writes: true }).db.close()
  new Ledger(join(home, 'ledger.db'), kind).close()
}

describe('npm start is refused with one helpful message', () => {
  it('when the port of the screens is in use, and no part is left running', async () => {
    const other = createServer()
    await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve))
    onTestFinished(() => void other.close())
    const address = other.address()
    const port = typeof address === 'object' && address ? address.port : 0
    const program = runStart({ home: makeHome(wiring({ port: NOBODY })), env: { PORT: String(port) } })
    await program.says(/in use/)
    const parts = descendantsOf(program.pid)
    expect((await program.ended()).code).not.toBe(0)
    const lines = program.stderr().match(/.*in use.*/g) ?? []
    expect(lines).toEqual([
      `spargewatch: port ${port} on 127.0.0.1 is in use by another program: stop that one, or set PORT to another number`,
    ])
    expect(parts.filter(isAlive)).toEqual([])
  })

  it('when another instance runs in the same home', async () => {
    const home = makeHome(wiring({ port: NOBODY }))
    const first = runStart({ home })
    await first.says(/Spargewatch: http/)
    const { code, said } = await refusal(home)
    expect(code).toBe(2)
    expect(said).toHaveLength(1)
    expect(said[0]).toContain(`${home} is already in use by another supervisor: stop that one first`)
    expect(isAlive(first.pid), 'the first one goes on').toBe(true)
  })

  it.each(['readings.db', 'ledger.db'])('when real data lie in %s and the config is gone', async (file) => {
    const home = makeHome(wiring({ port: NOBODY }))
    makeFiles(home, 'real')
    for (const name of ['spargewatch.yaml', 'readings.db', 'ledger.db'])
      if (name !== file) rmSync(join(home, name))
    const { code, said } = await refusal(home)
    expect(code).toBe(2)
    expect(said).toHaveLength(1)
    expect(said[0]).toContain(`${join(home, file)} holds real data but`)
    expect(said[0]).toContain('restore the config')
  })

  it('when the config has faults: all of them at once, each with its line', async () => {
    const yaml = wiring({ port: NOBODY })
      .replace('Europe/Lisbon', 'Europe/Nowhere')
      .replace('port: 9', 'port: 99999')
      .replace('unit: ug/mL', 'unit: ounces')
      .replace('    bench: A', '    bench: Z')
      .replace('interval_s: 1', 'intervall_s: 1')
    const { code, said } = await refusal(makeHome(yaml))
    expect(code).toBe(2)
    const text = said.join('\n')
    expect(text).toMatch(/ports\.meter-a\.port \(line \d+\).*99999/)
    expect(text).toMatch(/channels\[0\]\.unit \(line \d+\) needs one of mg\/L.*"ounces"/)
    expect(text).toMatch(/bench \(line \d+\) needs one of the benches: A, got "Z"/)
    expect(text).toMatch(/intervall_s \(line \d+\) is not a setting here/)
    expect(text).toMatch(/zone.*IANA time zone/)
  })

  it('when the config is no YAML, or a folder', async () => {
    const broken = await refusal(makeHome('site: { name: [\n'))
    expect(broken.code).toBe(2)
    expect(broken.said.join('\n')).toContain('spargewatch.yaml has')
    const home = makeHome(wiring({ port: NOBODY }))
    rmSync(join(home, 'spargewatch.yaml'))
    mkdirSync(join(home, 'spargewatch.yaml'))
    const folder = await refusal(home)
    expect(folder.code).toBe(2)
    expect(folder.said).toHaveLength(1)
    expect(folder.said[0]).toContain('cannot be read')
  })

  it.each(['0.0.0.0', '::'])('when HOST is %s, which others could reach', async (HOST) => {
    const { code, said } = await refusal(makeHome(wiring({ port: NOBODY })), { HOST })
    expect(code).toBe(2)
    expect(said).toHaveLength(1)
    expect(said[0]).toContain(`HOST ${HOST} opens the screens to other machines, and nobody can sign in yet`)
    expect(said[0]).toContain('start once with HOST=127.0.0.1')
  })

  it.each(['65536', 'seventy'])('when PORT is %s', async (PORT) => {
    const { code, said } = await refusal(makeHome(wiring({ port: NOBODY })), { PORT })
    expect(code).toBe(2)
    expect(said).toEqual([expect.stringContaining(`PORT needs a whole number from 0 to 65535, got ${PORT}`)])
  })

  it('when a file of it is no database at all', async () => {
    const home = makeHome(wiring({ port: NOBODY }))
    writeFileSync(join(home, 'readings.db'), 'this is a shopping list, not a database; '.repeat(50))
    const { code, said } = await refusal(home)
    expect(code).not.toBe(0)
    expect(said.join('\n')).toContain(`${join(home, 'readings.db')} cannot be used as a database`)
  })
})

describe('simulated and real files never mix', () => {
  it.each([
    ['simulated', 'real'],
    ['real', 'simulated'],
  ] as const)('%s files do not open under a %s config', async (kind, configKind) => {
    const home = makeHome(wiring({ port: NOBODY, simulated: configKind === 'simulated' }))
    makeFiles(home, kind)
    for (const part of ['daemon', 'serve']) {
      const program = runPart([part], { home })
      expect((await program.ended()).code).toBe(2)
      expect(program.stderr()).toContain(`needs to hold ${configKind} data`)
    }
  })

  it('a demonstration made into a home by hand does not become a real one', async () => {
    const demo = makeHome(wiring({ port: NOBODY, simulated: true }))
    makeFiles(demo, 'simulated')
    const real = makeHome(wiring({ port: NOBODY }), join(temporaryFolder(), 'real'))
    for (const name of ['readings.db', 'ledger.db']) copyFileSync(join(demo, name), join(real, name))
    const program = runPart(['serve'], { home: real })
    expect((await program.ended()).code).toBe(2)
    await until('the reason', () => program.stderr().includes('simulated and real data never mix'))
  })
})
