import { afterEach, expect, it, onTestFinished } from 'vitest'
import { potencyState, startBoth, untilLive } from '../support/at-work.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { countedLine, startMeter, startTicking } from '../support/meter.ts'
import { endAll } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

/** The shortest silence the wiring allows before a port is opened anew. */
const SILENCE_S = 5

it('a meter that stays connected but says nothing is opened again until it speaks', async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const work = await startBoth(makeHome(wiring({ port: tcpPort(meter.port, SILENCE_S), intervalS: 0.2 })))
  const first = startTicking(meter, 200)
  onTestFinished(first.stop)
  await untilLive(work)
  expect(meter.everConnected()).toBe(1)

  first.stop()
  await until('a state other than live', async () => (await potencyState(work)) !== 'live')
  await until('the alarm', () => work.ines.alarm('instrument-silent'))
  await until('another connection', () => meter.everConnected() >= 2)
  const why = await until('the reason', async () => (await work.ines.health()).ports[0]?.why)
  expect(why).toContain(`no byte for ${SILENCE_S} s`)
  expect(meter.connections(), 'the silent one was closed').toBeLessThanOrEqual(1)

  // the first line on a new connection only finds the beginning of the next
  const second = startTicking(meter, 200, (count) => countedLine(500 + count))
  onTestFinished(second.stop)
  await untilLive(work)
  await until('a healthy port', async () => (await work.ines.health()).status === 'working')
  expect((await work.ines.health()).ports[0]).toMatchObject({ state: 'open', why: null })
})

it('a device server that is switched on late is found by itself', async () => {
  const reserved = await startMeter()
  const { port } = reserved
  await reserved.close()
  const work = await startBoth(makeHome(wiring({ port: tcpPort(port), intervalS: 0.2 })))
  const why = await until('the reason', async () => (await work.ines.health()).ports[0]?.why)
  expect(why).toContain(`127.0.0.1:${port} did not open`)
  expect((await work.ines.bench()).potency.state).toBe('no-reading')
  const meter = await startMeter(port)
  onTestFinished(() => meter.close())
  const ticking = startTicking(meter, 200)
  onTestFinished(ticking.stop)
  await untilLive(work)
})
