import { afterEach, expect, it, onTestFinished } from 'vitest'
import type { ReadingsAnswer } from '../../server/wire.ts'
import { get, person } from '../support/api.ts'
import { keepTicking, potencyState, startBoth, untilLive } from '../support/at-work.ts'
import { makeHome, readingsOf, tcpPort, valuesOf, wiring } from '../support/home.ts'
import { meterLine, startMeter } from '../support/meter.ts'
import { endAll, isAlive, runPart } from '../support/program.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

/** A second bench whose meter never answers: its alarm stands all the time. */
const withSilentBench = (yaml: string): string =>
  yaml
    .replace('instruments:', '  meter-b: { kind: tcp, host: 127.0.0.1, port: 9 }\ninstruments:')
    .replace('store:', SECOND_METER)

const SECOND_METER = `  - id: meter-b
    port: meter-b
    bench: B
    channels: [{ channel: dissolved-ozone, field: 0, unit: mg/L }]
store:`

it('the daemon logs on without the server, which afterwards shows all of it and stands where it stood', async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const yaml = wiring({ port: tcpPort(meter.port), intervalS: 0.2, benches: ['A', 'B'] })
  const home = makeHome(withSilentBench(yaml))
  // 20 mg/L with a last digit that tells the lines apart
  const ticking = keepTicking(meter, 200, (count) =>
    meterLine(count, (20 + (count % 1000) / 1e4).toFixed(4), (20 + count / 1e4).toFixed(4)),
  )
  const work = await startBoth(home)
  const { ines, server, daemon } = work
  const batch = await ines.opens()
  await ines.does(batch, { kind: 'ozone-on' })
  await ines.does(batch, { kind: 'drawn-up', data: { ml: 20 } })
  await untilLive(work)
  const atB = person(work.address, 'Rui', 'B')
  const raised = await until('the alarm of the silent bench', () => atB.alarm('instrument-silent'))
  expect(raised.state).toBe('unacknowledged')
  await atB.acknowledges(raised.key)
  await until(
    'the acknowledgement',
    async () => (await atB.alarm('instrument-silent'))?.state === 'acknowledged',
  )

  server.kill('SIGTERM')
  expect(await server.ended()).toEqual({ code: 0, signal: null })
  const atStop = readingsOf(home).length
  await until('twenty more lines', () => readingsOf(home).length >= atStop + 40)
  expect(isAlive(daemon.pid)).toBe(true)
  await pause(1000)

  const again = runPart(['serve'], { home })
  const { address } = await again.started()
  const back = { ...work, server: again, address, ines: person(address) }
  await until('a live value', async () => (await potencyState(back)) === 'live')
  const bench = await back.ines.bench()
  expect(bench.batch).toMatchObject({ id: batch, left_ml: 230, volume_ml: 250 })
  expect(bench.phase.kind).toBe('bubbling')
  const stillThere = await person(address, 'Rui', 'B').alarm('instrument-silent')
  expect(stillThere).toMatchObject({
    state: 'acknowledged',
    acknowledged_by: 'Rui',
    since: expect.any(String),
  })

  const stored = valuesOf(readingsOf(home)).length
  const from = new Date(Date.now() - 600_000).toISOString()
  const to = new Date(Date.now() + 60_000).toISOString()
  const answer = await get<ReadingsAnswer>(
    address,
    `/api/readings?bench=A&channel=dissolved-ozone&from=${from}&to=${to}&points=5000`,
  )
  const shown = answer.points.reduce((sum, p) => sum + p.count, 0)
  expect(shown).toBeGreaterThanOrEqual(stored)
  expect(shown).toBeLessThanOrEqual(ticking.sent())
  const csv = await (await fetch(`${address}/api/batches/${batch}/readings.csv`)).text()
  expect(csv.split('\r\n').filter((row) => /^\d{4}-/.test(row)).length).toBeGreaterThan(atStop / 2)
  expect((await back.ines.record(batch)).gaps, 'nothing was missed').toEqual([])
})

it('readings missed while the daemon itself was away are a gap in the record of the open batch', async () => {
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const home = makeHome(wiring({ port: tcpPort(meter.port), intervalS: 0.2 }))
  keepTicking(meter)
  const work = await startBoth(home)
  const batch = await work.ines.opens()
  await untilLive(work)
  work.daemon.kill('SIGKILL')
  await until(
    'the alarm',
    async () => (await work.ines.alarm('instrument-silent'))?.state === 'unacknowledged',
  )
  expect((await work.ines.health()).daemon.alive).toBe(false)
  await pause(1500)
  await runPart(['daemon'], { home }).started()
  await untilLive(work)
  const gaps = await until('the gap', async () => {
    const { gaps } = await work.ines.record(batch)
    return gaps.length > 0 && gaps
  })
  expect(gaps).toHaveLength(1)
  const [gap] = gaps
  expect((Date.parse(gap?.to ?? '') - Date.parse(gap?.from ?? '')) / 1000).toBeGreaterThan(5)
})
