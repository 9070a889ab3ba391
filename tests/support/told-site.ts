import { chmodSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import type { Deliveries } from '../../server/wire.ts'
import { get, person } from './api.ts'
import { freePort } from './free-port.ts'
import { makeHome, tcpPort, wiring } from './home.ts'
import { type Answers, recordHttp } from './http-recorder.ts'
import { startMeter } from './meter.ts'
import { type Program, runPart } from './program.ts'
import { type SmtpBehaviour, startSmtp } from './smtp-server.ts'

export const WEBHOOK_SECRET = 'a-secret-of-the-pager'
export const MAIL_PASSWORD = 'the-password-of-the-mail'

export interface ToldSiteOptions {
  readonly mail?: SmtpBehaviour
  readonly webhook?: Answers
  readonly waitScale?: number
  /** More lines of the section `delivery`. */
  readonly more?: (url: string) => string
}

/** A site with a meter whose alarms are told by mail and by webhook, to real receivers on loopback. */
export const startToldSite = async ({
  mail = { login: (_, password) => password === MAIL_PASSWORD },
  webhook = () => ({ status: 204 }),
  waitScale = 1,
  more = () => '',
}: ToldSiteOptions) => {
  const smtp = await startSmtp(mail)
  const http = await recordHttp(webhook)
  const meter = await startMeter()
  onTestFinished(() => meter.close())
  const home = makeHome(`${wiring({ port: tcpPort(meter.port), intervalS: 0.2 })}
delivery:
  priorities: [high, medium, low]
  mail: { host: 127.0.0.1, port: ${smtp.port}, tls: none, user: alarms, from: alarms@clinic.example }
  receivers:
    - { name: staff, mail: staff@clinic.example }
    - { name: pager, webhook: "${http.url}/hook?token=in-the-address" }
${more(http.url)}`)
  const secrets = join(home, 'delivery-secrets.yaml')
  writeFileSync(
    secrets,
    `mail_password: ${MAIL_PASSWORD}\nwebhooks: { pager: ${WEBHOOK_SECRET} }\nheartbeat: ${WEBHOOK_SECRET}\n`,
  )
  chmodSync(secrets, 0o600)
  const port = String(await freePort())
  const address = `http://127.0.0.1:${port}`
  const serve = async (): Promise<Program> => {
    const server = runPart(['serve', '--wait-scale', String(waitScale)], { home, env: { PORT: port } })
    await server.started()
    return server
  }
  const daemon = runPart(['daemon'], { home })
  await daemon.started()
  return {
    smtp,
    http,
    meter,
    home,
    daemon,
    address,
    serve,
    ines: person(address),
    deliveries: () => get<Deliveries>(address, '/api/deliveries'),
    /** What the webhook got, apart from heartbeats. */
    hooked: () => http.requests.filter(({ path }) => path === '/hook'),
  }
}
