import { join } from 'node:path'
import { afterEach, describe, expect, it, onTestFinished } from 'vitest'
import { Ledger } from '../../server/ledger/ledger.ts'
import { person } from '../support/api.ts'
import { keepTicking, startBoth, untilLive } from '../support/at-work.ts'
import { makeHome, readingsOf, tcpPort, valuesOf, wiring } from '../support/home.ts'
import { startMeter } from '../support/meter.ts'
import { endAll, isAlive, runPart, runToEnd } from '../support/program.ts'
import { canMount, smallDisk } from '../support/small-disk.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

/** Far more than one length of the write-ahead log that is kept for the ledger. */
const NOTES = 150

const countsOf = (home: string): number[] =>
  valuesOf(readingsOf(home)).map((value) => Math.round((value ?? Number.NaN) * 1000))

const startOnSmallDisk = async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const disk = smallDisk(12)
  const home = makeHome(wiring({ port: tcpPort(meter.port), intervalS: 0.1 }), join(disk.folder, 'home'))
  const ticking = keepTicking(meter, 100)
  const work = await startBoth(home)
  const batch = await work.ines.opens()
  await work.ines.does(batch, { kind: 'ozone-on' })
  await untilLive(work)
  return { disk, home, ticking, work, batch }
}

const troubleIn = (home: string) => {
  const ledger = new Ledger(join(home, 'ledger.db'), 'real')
  try {
    return ledger.ofKind('from-daemon').find((e) => e.data.kind === 'store-trouble')
  } finally {
    ledger.close()
  }
}

/** Fills the disk again and again: a file that shrank meanwhile must not give the daemon room. */
const fillUntil = async (disk: { fill(): void }, done: () => boolean | Promise<boolean>) =>
  until('the daemon to feel it', () => {
    disk.fill()
    return done()
  })

describe.skipIf(!canMount)('a full disk', () => {
  it('keeps readings waiting in memory, says so, and stores every one of them when there is room again', async () => {
    const { disk, home, ticking, work, batch } = await startOnSmallDisk()
    const { daemon, ines } = work
    await fillUntil(disk, () => daemon.stdout().includes('readings cannot be stored'))
    const durable = countsOf(home)
    expect(durable.length).toBeGreaterThan(0)
    const atFull = ticking.sent()
    await until(
      'the screen to say that it is not live',
      async () => (await ines.bench()).potency.state !== 'live',
    )
    await until('a degraded state', async () => (await ines.health()).status === 'degraded')
    await until('fifty more lines', () => ticking.sent() > atFull + 50)
    expect(isAlive(daemon.pid)).toBe(true)
    expect(countsOf(home), 'what was durable stays').toEqual(expect.arrayContaining(durable))

    disk.makeRoom()
    await untilLive(work)
    const waited = ticking.sent()
    await until('all that waited to be stored', () => Math.max(...countsOf(home)) >= waited)
    const counts = countsOf(home).sort((a, b) => a - b)
    const [first = 0] = counts
    expect(counts, 'each line once, none left out').toEqual(counts.map((_, i) => first + i))
    await until('a healthy state', async () => (await ines.health()).status === 'working')
    const trouble = await until('the trouble in the record', () => troubleIn(home))
    expect(JSON.stringify(trouble.data)).toMatch(/full/)
    expect((await ines.record(batch)).summary.head.phase.kind).toBe('bubbling')
    expect((await runToEnd(['ledger', 'verify'], { home })).code).toBe(0)
  })

  it('still takes notes, the ozone off and the discard into the record', async () => {
    const { disk, home, work, batch } = await startOnSmallDisk()
    await fillUntil(disk, () => work.daemon.stdout().includes('readings cannot be stored'))
    const note = { kind: 'note', data: { text: 'the disk is full' } } as const
    for (let entered = 0; entered < NOTES; entered++) {
      if (entered % 10 === 0) disk.fill()
      expect((await work.ines.enter(batch, note, 1_000_000)).status).toBe(200)
    }
    for (const kind of ['ozone-off', 'flow-off', 'discarded'] as const) {
      disk.fill()
      await work.ines.does(batch, { kind })
    }
    expect(work.server.stdout()).not.toContain('"trouble"')
    const entered = (await work.ines.record(batch)).entries.map((e) => e.kind)
    expect(entered).toEqual(expect.arrayContaining(['ozone-off', 'flow-off', 'discarded']))
    work.server.kill('SIGKILL')
    await work.server.ended()
    disk.makeRoom()
    const { address } = await runPart(['serve'], { home }).started()
    const kept = (await person(address).record(batch)).entries.map((e) => e.kind)
    expect(kept).toEqual(expect.arrayContaining(['ozone-off', 'flow-off', 'discarded']))
    expect((await runToEnd(['ledger', 'verify'], { home })).stdout).toContain('verifies')
  })

  it.each([
    ['first', false],
    ['later', true],
  ])(
    'does not end a daemon on its %s start: it says so, and logs once there is room',
    async (_, hasRunBefore) => {
      const meter = await startMeter()
      onTestFinished(() => meter.close())
      const disk = smallDisk(12)
      const home = makeHome(wiring({ port: tcpPort(meter.port), intervalS: 0.1 }), join(disk.folder, 'home'))
      keepTicking(meter, 100)
      if (hasRunBefore) {
        const before = runPart(['daemon'], { home })
        await before.started()
        await until('a reading', () => countsOf(home).length > 0)
        before.kill('SIGKILL')
        await before.ended()
      }
      disk.fill()
      const daemon = runPart(['daemon'], { home })
      await until('the daemon to say it', () => daemon.stdout().includes('NO READINGS ARE BEING LOGGED'))
      expect(isAlive(daemon.pid)).toBe(true)
      disk.makeRoom()
      await until('the daemon to go on', () => daemon.stdout().includes('there is room on the disk again'))
      const stored = countsOf(home).length
      await until('new readings', () => countsOf(home).length > stored)
    },
  )
})
