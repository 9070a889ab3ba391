import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { person } from '../support/api.ts'
import { potencyState } from '../support/at-work.ts'
import { runHere } from '../support/command-here.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, runCommand, runPart, runToEnd } from '../support/program.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const linesOf = (text: string): string[] => text.split('\n').filter((line) => line.trim() !== '')

describe('a command that cannot be', () => {
  it.each([
    [['paint'], "unknown command 'paint'"],
    [['ports', '--loud'], "unknown option '--loud'"],
    [['ports', 'and', 'more'], 'too many arguments'],
    [['export'], "missing required argument 'batch'"],
    [['import', 'log.csv', '--fluid', 'saline', '--volume-ml', '250'], '--who'],
    [['simulate'], 'simulate needs --tcp PORT or --pty PATH'],
    [['simulate', '--tcp', '99999'], '65535'],
    [['ledger', 'verify'], 'does not exist'],
    [['backup', 'somewhere'], 'does not exist'],
    [['restore', '/nowhere/at/all'], 'is not a back-up'],
    [['daemon'], 'cannot be read'],
    [['serve'], 'cannot be read'],
  ])('spargewatch %j is told in one line with exit code 2', async (args, words) => {
    const { code, stderr } = await runHere(args, join(temporaryFolder(), 'none'))
    expect(stderr).toContain(words)
    expect(linesOf(stderr)).toHaveLength(1)
    expect(stderr).toMatch(/^spargewatch: /)
    expect(code).toBe(2)
  })

  it('ends a real process the same way', async () => {
    const said = "spargewatch: unknown command 'paint'\n"
    expect(await runToEnd(['paint'])).toEqual({ code: 2, stdout: '', stderr: said })
  })

  it('gives help when asked', async () => {
    const { code, stdout, stderr } = await runToEnd(['--help'])
    expect(code).toBe(0)
    expect(stderr).toBe('')
    for (const command of ['start', 'daemon', 'serve', 'analyse', 'import', 'export', 'ports', 'backup'])
      expect(stdout).toContain(command)
  })
})

describe('spargewatch ports', () => {
  it('lists what is there, for people and as JSON', async () => {
    const [plain, json] = await Promise.all([runToEnd(['ports']), runToEnd(['ports', '--json'])])
    expect(plain).toMatchObject({ code: 0, stderr: '' })
    expect(json).toMatchObject({ code: 0, stderr: '' })
    const { devices } = JSON.parse(json.stdout) as { devices: { path: string }[] }
    expect(Array.isArray(devices)).toBe(true)
    for (const { path } of devices) expect(plain.stdout).toContain(path)
    if (devices.length === 0) expect(plain.stdout).toContain('No serial device found')
  })
})

describe('spargewatch ledger verify', () => {
  it('confirms a whole ledger and its anchor, and refuses every other anchor', async () => {
    const home = makeHome(wiring({ port: tcpPort(9) }))
    const server = runPart(['serve'], { home })
    const { address } = await server.started()
    await person(address).opens()
    const { entries, head } = (await person(address).health()).ledger
    const verify = (anchor: string) => runHere(['ledger', 'verify', '--anchor', anchor], home)
    expect((await runToEnd(['ledger', 'verify'], { home })).stdout).toContain('anchor: none given')
    const right = await runToEnd(['ledger', 'verify', '--anchor', `${entries}:${head}`], { home })
    expect(right).toMatchObject({ code: 0, stdout: expect.stringContaining('anchor: matches') })
    const rewritten = await verify(`${entries}:${'a'.repeat(64)}`)
    expect(rewritten).toMatchObject({ code: 2, stderr: expect.stringContaining('the ledger was rewritten') })
    const cut = await verify(`${entries + 50}:${head}`)
    expect(cut).toMatchObject({ code: 2, stderr: expect.stringContaining('its end was cut off') })
    const wrong = await verify('three entries')
    expect(wrong).toMatchObject({ code: 2, stderr: expect.stringContaining('--anchor needs "entries:hash"') })
  })
})

describe('spargewatch simulate', () => {
  it('prints where it listens as JSON and sends lines that the daemon reads', async () => {
    const simulation = runCommand(['simulate', '--tcp', '0', '--interval', '0.2'])
    await simulation.says(/\n/)
    const { simulated, listening } = JSON.parse(simulation.stdout()) as {
      simulated: boolean
      listening: { tcpPort: number }[]
    }
    expect(simulated).toBe(true)
    const port = listening[0]?.tcpPort ?? 0
    const home = makeHome(wiring({ port: tcpPort(port), intervalS: 0.2, simulated: true }))
    await runPart(['daemon'], { home }).started()
    const server = runPart(['serve'], { home })
    const { address } = await server.started()
    const ines = person(address)
    const work = { address, ines, server, daemon: server }
    await until('a live value', async () => (await potencyState(work)) === 'live')
    await until('an open port', async () => (await ines.health()).ports[0]?.state === 'open')
    expect((await ines.bench()).temperature.state).toBe('live')
    simulation.kill('SIGTERM')
    expect((await simulation.ended()).code).toBe(0)
  })

  it('says which file cannot be read', async () => {
    const file = join(temporaryFolder(), 'benches.json')
    writeFileSync(file, '{ "benches": [')
    const { code, stderr } = await runToEnd(['simulate', '--config', file])
    expect(code).toBe(2)
    expect(linesOf(stderr)).toHaveLength(1)
    expect(stderr).toContain(`${file} needs to be readable JSON`)
  })
})
