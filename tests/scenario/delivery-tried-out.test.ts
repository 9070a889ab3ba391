import { chmodSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { endAll, runToEnd } from '../support/program.ts'
import { hasOpenssl, selfSigned } from '../support/self-signed.ts'
import { headerOf, textOf } from '../support/smtp-server.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'
import { MAIL_PASSWORD, startToldSite, WEBHOOK_SECRET } from '../support/told-site.ts'
import { until } from '../support/until.ts'

afterEach(endAll)

const rewire = (home: string, from: string, to: string) => {
  const file = join(home, 'spargewatch.yaml')
  writeFileSync(file, readFileSync(file, 'utf8').replace(from, to))
}

describe('spargewatch deliver --try', () => {
  it('sends a test message to each and says what came of it', async () => {
    const site = await startToldSite({ webhook: () => ({ status: 404, body: 'no such hook' }) })
    const { code, stdout, stderr } = await runToEnd(['deliver', '--try'], { home: site.home })
    expect([code, stderr]).toEqual([1, ''])
    expect(stdout).toBe(
      'staff: delivered (250 taken)\npager: REFUSED for good (it answered 404: no such hook)\n',
    )
    const [mail] = site.smtp.received
    expect(mail && headerOf(mail, 'Subject')).toBe('Test message from Spargewatch (Test clinic)')
    expect(mail && textOf(mail)).toContain('nothing is wrong')
    expect(JSON.parse(site.http.requests[0]?.body ?? '')).toMatchObject({ what: 'test', simulated: false })

    const one = await runToEnd(['deliver', '--try', 'staff'], { home: site.home })
    expect([one.code, one.stdout]).toEqual([0, 'staff: delivered (250 taken)\n'])
    const nobody = await runToEnd(['deliver', '--try', 'nobody'], { home: site.home })
    expect([nobody.code, nobody.stderr]).toEqual([
      2,
      'spargewatch: there is no receiver "nobody": take one of: staff, pager\n',
    ])
    expect(stdout + nobody.stderr).not.toContain(MAIL_PASSWORD)
  })

  it.skipIf(!hasOpenssl)('speaks TLS with a mail server it may trust', async () => {
    const { pem, certificateFile } = selfSigned(temporaryFolder())
    const site = await startToldSite({ mail: { login: () => true, pem } })
    rewire(site.home, 'tls: none', 'tls: starttls')
    const wary = await runToEnd(['deliver', '--try', 'staff'], { home: site.home })
    expect([wary.code, wary.stdout]).toEqual([
      1,
      expect.stringMatching(/NOT LET IN.*certificate is not trusted/),
    ])
    const trusting = { home: site.home, env: { NODE_EXTRA_CA_CERTS: certificateFile } }
    expect(await runToEnd(['deliver', '--try', 'staff'], trusting)).toMatchObject({ code: 0 })
    expect(site.smtp.received).toMatchObject([{ user: 'alarms', isEncrypted: true }])
  })
})

describe('settings of delivery that cannot be used', () => {
  it('stop a start with words that fix them, never a server that starts anew, which shows and alarms it', async () => {
    const site = await startToldSite({})
    chmodSync(join(site.home, 'delivery-secrets.yaml'), 0o644)
    const started = await runToEnd(['start'], { home: site.home })
    expect(started.code).toBe(2)
    expect(started.stderr).toMatch(
      /delivery-secrets\.yaml may be read by others than its owner: chmod 600 it/,
    )

    const server = await site.serve()
    expect(await site.deliveries()).toMatchObject({
      set_up: 'fault',
      fault: expect.stringContaining('chmod 600 it'),
      receivers: [],
    })
    const alarm = await until('the alarm about it', () => site.ines.siteAlarm('delivery-failing'))
    expect(alarm.text).toBe('Nobody is told of alarms elsewhere: its settings cannot be used')
    expect(server.stdout()).toContain('chmod 600 it')
    expect(server.stdout()).not.toContain(WEBHOOK_SECRET)
  })

  it('nor does a file of deliveries that is none', async () => {
    const site = await startToldSite({})
    writeFileSync(join(site.home, 'delivery.db'), 'this is no database '.repeat(500))
    await site.serve()
    expect(await site.deliveries()).toMatchObject({
      set_up: 'fault',
      fault: expect.stringMatching(/delivery\.db cannot be used as a database/),
    })
  })
})
