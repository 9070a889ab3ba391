import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, expect, it, onTestFinished } from 'vitest'
import { startBoth, untilLive } from '../support/at-work.ts'
import { makeHome, readingsOf, tcpPort, wiring } from '../support/home.ts'
import { connected, startMeter, startTicking } from '../support/meter.ts'
import { endAll } from '../support/program.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

it('a wiring edited while everything runs: only the port that changed is opened anew, a faulty file changes nothing', async () => {
  const [meter, other, third] = [await startMeter(), await startMeter(), await startMeter()]
  for (const m of [meter, other, third]) onTestFinished(() => m.close())
  const first = wiring({ port: tcpPort(meter.port, 60), benches: ['A', 'B'], intervalS: 0.2 })
  const withSecond = (port: number) =>
    `${first.replace('instruments:\n', `  meter-b: { ${tcpPort(port, 60)}, frame: { delimiter: "\\r\\n", checksum: xor } }\ninstruments:\n`)}
  - id: meter-b
    port: meter-b
    bench: B
    starts_with: SPGW
    interval_s: 0.2
    channels: [{ channel: dissolved-ozone, field: 2, unit: ug/mL }]
`.replace(/^(store: .*\n)([\s\S]*)$/m, '$2$1')
  const home = makeHome(first)
  const file = join(home, 'spargewatch.yaml')
  const work = await startBoth(home)
  for (const m of [meter, other, third]) onTestFinished(startTicking(m, 200).stop)
  await untilLive(work)

  writeFileSync(file, withSecond(other.port))
  await connected(other)
  await until('a reading of the new meter', () =>
    readingsOf(home).some((r) => r.series.instrument === 'meter-b'),
  )
  await until('bench B on screen', async () =>
    (await fetch(`${work.address}/api/benches/B`).then((r) => r.text())).includes('"state":"live"'),
  )
  const ports = async () => (await work.ines.health()).ports.map((p) => [p.port, p.state])
  await until('both ports open', async () => (await ports()).every(([, state]) => state === 'open'))

  writeFileSync(file, withSecond(third.port))
  await connected(third)
  await until('the old connection to be closed', () => other.connections() === 0)

  const good = readFileSync(file, 'utf8')
  writeFileSync(file, good.replace('unit: ug/mL', 'unit: ug/pint'))
  const refused = await until('the refusal', async () => (await work.ines.health()).wiring.refused)
  expect(refused).toContain('instruments[0].channels[0].unit (line')
  const before = readingsOf(home).length
  await until('readings to go on', () => readingsOf(home).length > before + 10)
  writeFileSync(file, good)
  await until('the fault to be gone', async () => (await work.ines.health()).wiring.refused === null)

  writeFileSync(file, good.replace('name: Test clinic', 'name: Another clinic'))
  expect(await until('what needs a start', async () => (await work.ines.health()).wiring.refused)).toContain(
    'start the program again',
  )

  writeFileSync(file, first)
  await until('the port to be gone', async () => (await ports()).length === 1)
  await until('the third connection to be closed', () => third.connections() === 0)
  expect(meter.everConnected(), 'the port that nobody changed was never closed').toBe(1)
})
