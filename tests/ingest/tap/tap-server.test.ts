import { describe, expect, it, onTestFinished } from 'vitest'
import { systemClock } from '../../../ingest/clock.ts'
import { readIngestConfig } from '../../../ingest/config.ts'
import { createTapHub } from '../../../ingest/tap/hub.ts'
import { startTap, type TapLimits } from '../../../ingest/tap/tap-server.ts'
import { makeHome, tcpPort, wiring } from '../../support/home.ts'
import { startMeter } from '../../support/meter.ts'
import { ask, knock, untilTap } from '../../support/tap-listener.ts'
import { until } from '../../support/until.ts'

const LIMITS: TapLimits = { listeners: 2, longestMs: 60_000, messageWithinMs: 5000 }

/** The door alone, in front of a port that is wired and not at work. */
const openDoor = async (limits: Partial<TapLimits> = {}) => {
  const home = makeHome(wiring({ port: tcpPort(9) }))
  const config = readIngestConfig(home)
  const clock = systemClock()
  const hub = createTapHub(clock)
  const tap = startTap({
    home,
    clock,
    log: { error: () => {} },
    hub,
    status: () => [],
    wiring: () => config,
    limits: { ...LIMITS, ...limits },
  })
  onTestFinished(tap.stop)
  await untilTap(home)
  return { home, tap, hub, config }
}
const meterOnTrial = async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const port = { kind: 'tcp', host: '127.0.0.1', port: meter.port }
  return { meter, question: { ask: 'listen', trial: { port } } }
}

describe('the door for listening', () => {
  it('closes a trial after its time, says so, and lets go of the port', async () => {
    const { home } = await openDoor({ longestMs: 300 })
    const { meter, question } = await meterOnTrial()
    const listener = ask(home, question)
    await listener.untilHeard('ended', (e) => /listened for/.test(e.why))
    await until('the port to be closed', () => meter.connections() === 0)
    await until('the end', listener.isClosed)
  })

  it('lets go of a port that the wiring wants now', async () => {
    const { home, tap, config } = await openDoor()
    const { meter, question } = await meterOnTrial()
    const listener = ask(home, question)
    await listener.untilHeard('state', (e) => e.state === 'open')
    tap.release(config.ports)
    expect(meter.connections(), 'another port is none of its business').toBe(1)
    const [first] = config.ports
    if (!first) throw new Error('no port')
    tap.release([{ ...first, source: { kind: 'tcp', host: '127.0.0.1', port: meter.port } }])
    await listener.untilHeard('ended', (e) => e.why.includes('wired now'))
    await until('the port to be closed', () => meter.connections() === 0)
  })

  it('takes so many listeners and no more', async () => {
    const { home } = await openDoor()
    const listeners = [1, 2].map(() => ask(home, { ask: 'listen', port: 'meter-a' }))
    for (const listener of listeners) await listener.untilHeard('listening')
    const third = ask(home, { ask: 'listen', port: 'meter-a' })
    expect((await third.untilHeard('refused')).why).toContain('2 are listening already')
    listeners[0]?.leave()
    await until('room', async () => {
      const next = ask(home, { ask: 'listen', port: 'meter-a' })
      await until('an answer', () => next.heard.length > 0)
      return next.heard[0]?.kind === 'listening'
    })
  })

  it('waits for a message only so long', async () => {
    const { home } = await openDoor({ messageWithinMs: 200 })
    const silent = knock(home, '{"tok')
    expect((await silent.untilHeard('refused')).why).toContain('one line under 16384 bytes')
    await until('the end', silent.isClosed)
  })

  it('tells whoever listens what a port at work does, and nobody else', async () => {
    const { home, hub } = await openDoor()
    const listener = ask(home, { ask: 'listen', port: 'meter-a' })
    await listener.untilHeard('listening')
    hub.of('meter-b').bytes('from-meter', Buffer.from('not for you'))
    hub.of('meter-a').bytes('from-meter', Buffer.alloc(1500, 'x'))
    hub.of('meter-a').state('silent', 'no byte')
    await listener.untilHeard('state', (e) => e.why === 'no byte')
    const pieces = listener.heard.flatMap((e) => (e.kind === 'bytes' ? [e.hex.length / 2] : []))
    expect(pieces).toEqual([512, 512, 476])
  })
})
