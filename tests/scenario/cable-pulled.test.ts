import { mkdtempSync, readlinkSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { keepTicking, potencyState, secondsFor, startBoth, untilLive } from '../support/at-work.ts'
import { makeHome, readingsOf, serialPort, valuesOf, wiring } from '../support/home.ts'
import { endAll } from '../support/program.ts'
import { type Cable, canPair, plugIn, relink, unplugAll } from '../support/pty-pair.ts'
import { until } from '../support/until.ts'

afterEach(endAll)
afterEach(unplugAll)

/** What is promised on an idle machine, and what a busy one may add. */
const BUSY_S = 8
const NOT_LIVE_WITHIN_S = 5
const ALARM_WITHIN_S = 8

const socketFolder = (): string => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-cable-'))
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}

/** A meter whose cable can be changed under it. */
const meterOn = (cable: Cable) => {
  const meter = {
    cable: cable as Cable | undefined,
    send: (line: string) => meter.cable?.send(line) ?? false,
  }
  keepTicking(meter)
  return meter
}

describe.skipIf(!canPair)('a pulled cable', () => {
  it('takes the live value off the screen, raises the alarm, and recovers alone when it is plugged back', async () => {
    const link = join(socketFolder(), 'adapter')
    const meter = meterOn(await plugIn(link))
    const home = makeHome(wiring({ port: serialPort(link) }))
    const work = await startBoth(home)
    const { ines } = work
    const batch = await ines.opens()
    await untilLive(work)

    const pulled = meter.cable
    meter.cable = undefined
    const [notLive, alarmed] = await Promise.all([
      secondsFor(() => until('a state other than live', async () => (await potencyState(work)) !== 'live')),
      secondsFor(() => until('the alarm', async () => (await ines.alarm('instrument-silent'))?.state)),
      pulled?.pull(),
    ])
    expect(notLive).toBeLessThan(NOT_LIVE_WITHIN_S + BUSY_S)
    expect(alarmed).toBeLessThan(ALARM_WITHIN_S + BUSY_S)
    const shown = await ines.bench()
    expect(shown.potency).toMatchObject({ state: 'stale', low_mg_l: null, high_mg_l: null })
    expect(shown.batch_mg, 'no amount is worked out from an old value').toBeNull()
    expect((await ines.alarm('instrument-silent'))?.state).toBe('unacknowledged')
    // the daemon tells the state of its ports once a second
    const health = await until('health to know of it', async () => {
      const now = await ines.health()
      return now.status === 'degraded' && now
    })
    expect(health.ports[0]).toMatchObject({ state: expect.stringMatching(/waiting|opening/) })
    expect(await until('a reason', async () => (await ines.health()).ports[0]?.why)).toContain('is not there')

    meter.cable = await plugIn(link)
    await untilLive(work)
    const returned = await until('the alarm to have returned', async () => {
      const alarm = await ines.alarm('instrument-silent')
      return alarm?.state === 'returned-unacknowledged' && alarm
    })
    await ines.acknowledges(returned.key)
    await until('no alarm', async () => (await ines.alarm('instrument-silent')) === undefined)

    const { gaps, entries } = await ines.record(batch)
    expect(gaps).toHaveLength(1)
    const [gap] = gaps
    const seconds = (Date.parse(gap?.to ?? '') - Date.parse(gap?.from ?? '')) / 1000
    expect(seconds).toBeGreaterThan(4)
    const silence = entries.filter((e) => e.kind === 'alarm' && e.data['alarm'] === 'instrument-silent')
    expect(silence.filter((e) => e.data['from'] !== 'suppressed-by-design').map((e) => e.data['to'])).toEqual(
      ['unacknowledged', 'returned-unacknowledged', 'normal'],
    )
    const values = valuesOf(readingsOf(home))
    expect(new Set(values).size, 'each line once').toBe(values.length)
    await until('health to be well', async () => (await ines.health()).status === 'working')
  })

  it('is found again under its stable name when another tty is behind it', async () => {
    const folder = socketFolder()
    const link = join(folder, 'by-id')
    const first = await plugIn(join(folder, 'first'))
    const second = await plugIn(join(folder, 'second'))
    expect(second.tty).not.toBe(first.tty)
    relink(link, first.tty)
    const meter = meterOn(first)
    const work = await startBoth(makeHome(wiring({ port: serialPort(link) })))
    await untilLive(work)
    meter.cable = undefined
    await first.pull()
    relink(link, second.tty)
    await until('a state other than live', async () => (await potencyState(work)) !== 'live')
    meter.cable = second
    await untilLive(work)
    expect(readlinkSync(link)).toBe(second.tty)
  })

  it('left dangling by a crash of the adapter is waited for all the same', async () => {
    const folder = socketFolder()
    const link = join(folder, 'by-id')
    relink(link, join(folder, 'no-such-tty'))
    const work = await startBoth(makeHome(wiring({ port: serialPort(link) })))
    const why = await until('a reason', async () => (await work.ines.health()).ports[0]?.why)
    expect(why).toContain(`${link} is not there`)
    expect((await work.ines.bench()).potency.state).toBe('no-reading')
    const cable = await plugIn(join(folder, 'adapter'))
    meterOn(cable)
    relink(link, cable.tty)
    await untilLive(work)
  })
})
