import { afterEach, expect, it } from 'vitest'
import type { MessageJson } from '../../server/notify/message.ts'
import { signatureOf } from '../../server/notify/signature.ts'
import { keepTicking, secondsFor } from '../support/at-work.ts'
import { connected } from '../support/meter.ts'
import { endAll, runPart } from '../support/program.ts'
import { startToldSite, WEBHOOK_SECRET } from '../support/told-site.ts'
import { pause, until } from '../support/until.ts'

afterEach(endAll)

it('a dead logging program is noticed, alarmed and told elsewhere; a dead server by its heart that stops', async () => {
  const site = await startToldSite({
    more: (url) => `  heartbeat: { url: "${url}/heart", every_s: 5 }`,
    waitScale: 0.1,
  })
  const server = await site.serve()
  await connected(site.meter)
  keepTicking(site.meter)
  const check = async () => {
    const answer = await fetch(`${site.address}/api/health/check`)
    return { code: answer.status, body: await answer.json() }
  }
  const beats = () => site.http.requests.filter(({ path }) => path === '/heart')
  await until('a heartbeat that says all is well', () =>
    beats().some(({ body }) => body.includes('"logging":true')),
  )
  expect(await until('readings', async () => (await check()).body)).toMatchObject({ logging: true })
  expect((await check()).code).toBe(200)
  expect(await site.ines.siteAlarm('logging-stopped')).toBeUndefined()

  site.daemon.kill('SIGKILL')
  const told = () =>
    site.http.requests.some(
      ({ path, body }) => path === '/hook' && (JSON.parse(body) as MessageJson).alarm === 'logging-stopped',
    )
  const tookS = await secondsFor(() => until('it to be told', told))
  console.log(`from the end of the logging program to the webhook ${tookS.toFixed(1)} s`)
  expect(tookS).toBeLessThan(25)
  expect(await site.ines.siteAlarm('logging-stopped')).toMatchObject({
    state: 'unacknowledged',
    priority: 'high',
  })
  expect(await check()).toEqual({ code: 503, body: { status: 'degraded', logging: false } })
  const beat = await until('a heartbeat that says so', () =>
    beats().find(({ body }) => body.includes('"logging":false')),
  )
  expect(JSON.parse(beat.body)).toMatchObject({
    schema: 'spargewatch.heartbeat/1',
    site: 'Test clinic',
    ledger: { entries: expect.any(Number), head: expect.stringMatching(/^[0-9a-f]{64}$/) },
  })
  expect(beat.headers['spargewatch-signature']).toBe(
    `v1=${signatureOf(WEBHOOK_SECRET, Number(beat.headers['spargewatch-timestamp']), beat.body)}`,
  )

  await runPart(['daemon'], { home: site.home }).started()
  await until(
    'its return',
    async () => (await site.ines.siteAlarm('logging-stopped'))?.state === 'returned-unacknowledged',
  )
  await until('the return to be told', () =>
    site.hooked().some(({ body }) => body.includes('"what":"returned"')),
  )

  server.kill('SIGKILL')
  await server.ended()
  const last = beats().length
  await pause(2000)
  expect(beats()).toHaveLength(last)
}, 120_000)
