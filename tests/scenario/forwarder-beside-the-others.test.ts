import { chmodSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { readForwardReport } from '../../ingest/store/outbox.ts'
import { person } from '../support/api.ts'
import { freePort } from '../support/free-port.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { descendantsOf, endAll, isAlive, runCommand } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const SECRET = 'word-of-the-house'

const homeWith = (meterPort: number, influxPort: number): string => {
  const target = `influx: { version: 1, url: "http://127.0.0.1:${influxPort}", database: ozone }`
  const yaml = wiring({ port: tcpPort(meterPort), intervalS: 0.1 })
  const home = makeHome(yaml.replace('commit_interval_ms: 50', `commit_interval_ms: 50, ${target}`))
  writeFileSync(join(home, 'influx-secrets.yaml'), `user: ozone\npassword: ${SECRET}\n`, { mode: 0o600 })
  return home
}

describe('forwarding beside logging and screens', () => {
  it('is refused at the start when others may read the secrets, and says how to mend it', async () => {
    const home = homeWith(9, 9)
    chmodSync(join(home, 'influx-secrets.yaml'), 0o644)
    const program = runCommand(['start'], { home })
    expect((await program.ended()).code).toBe(2)
    expect(program.stderr()).toContain('may be read by others than its owner: chmod 600 it')
    expect(program.stderr()).not.toContain(SECRET)
  })

  it('runs with them, and they go on when the other place is not there and when it cannot start any more', async () => {
    const meter = await startMeter()
    onTestFinished(() => meter.close())
    const home = homeWith(meter.port, await freePort())
    const port = String(await freePort())
    const program = runCommand(['start'], { home, env: { PORT: port } })
    await program.says(/Spargewatch: http/)
    await connected(meter)
    const ticking = startTicking(meter, 100)
    onTestFinished(ticking.stop)
    const ines = person(`http://127.0.0.1:${port}`)
    const waiting = await until('the backlog to be seen', async () => {
      const { forwarding, daemon } = await ines.health()
      return forwarding?.state === 'waiting' && forwarding.waiting > 10 && daemon.alive && forwarding
    })
    expect(waiting).toMatchObject({ alive: true, proved: true, refused: 0 })
    expect(waiting.why).toContain('ECONNREFUSED')

    // the secrets are gone when it has to start again
    const pid = descendantsOf(program.pid).find((p) => commandOf(p).includes('forward'))
    if (pid === undefined) throw new Error('a forwarder was expected')
    writeFileSync(join(home, 'influx-secrets.yaml'), `password: ${SECRET}\n`)
    process.kill(pid, 'SIGKILL')
    await program.says(/influx-secrets.yaml needs either token, or user and password/)
    const stored = readingsOf(home).length
    await until('the logging to go on', () => readingsOf(home).length > stored + 20)
    await until('its silence to be told', async () => (await ines.health()).forwarding?.alive === false)
    expect((await ines.health()).status).toBe('degraded')

    rmSync(join(home, 'influx-secrets.yaml'))
    const before = readForwardReport(home)?.timeUs ?? 0
    await until('it to run again', () => (readForwardReport(home)?.timeUs ?? 0) > before)
    expect(`${program.stdout()}${program.stderr()}`).not.toContain(SECRET)
    const parts = descendantsOf(program.pid)
    program.kill('SIGTERM')
    expect((await program.ended()).code).toBe(0)
    await until('all parts to have ended', () => !parts.some(isAlive))
  }, 120_000)
})

const commandOf = (pid: number): string => {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8')
  } catch {
    return ''
  }
}
