import { chmodSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readIngestConfig } from '../../ingest/config.ts'
import { readDelivery } from '../../ingest/read-delivery.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'

const PLAIN = wiring({ port: tcpPort(4000) })
const WHOLE = `
delivery:
  mail: { host: smtp.example.org, user: alarms@example.org, from: alarms@example.org }
  receivers:
    - { name: bench staff, mail: staff@example.org }
    - { name: duty pager, webhook: "https://pager.example/alarms?room=2", priorities: [high] }
    - { name: clinic lead, mail: lead@example.org, after_min: 10 }
  heartbeat: { url: https://watch.example/here, every_s: 30 }
`
const SECRETS = `mail_password: not-to-be-told
webhooks: { duty pager: 0123456789abcdef }
heartbeat: fedcba9876543210
`

const homeWith = (delivery: string, secrets?: string, mode = 0o600): string => {
  const home = makeHome(`${PLAIN}${delivery}`)
  if (secrets !== undefined) {
    writeFileSync(join(home, 'delivery-secrets.yaml'), secrets)
    chmodSync(join(home, 'delivery-secrets.yaml'), mode)
  }
  return home
}

const messageOf = (work: () => unknown): string => {
  try {
    work()
  } catch (error) {
    return String(error)
  }
  throw new Error('a fault was expected')
}

describe('who is told of alarms elsewhere', () => {
  it('is nobody unless the wiring says so', () => {
    expect(readIngestConfig(homeWith('')).delivery).toBeNull()
    expect(readDelivery(homeWith(''))).toBeNull()
  })

  it('is read with defaults that name high and medium alarms, their return, and TLS', () => {
    const home = homeWith(WHOLE, SECRETS)
    const { settings, secrets } = readDelivery(home) ?? {}
    expect(settings).toEqual(readIngestConfig(home).delivery)
    expect(settings?.mail).toEqual({
      host: 'smtp.example.org',
      port: 587,
      tls: 'starttls',
      user: 'alarms@example.org',
      from: 'alarms@example.org',
    })
    expect(settings?.receivers).toEqual([
      {
        name: 'bench staff',
        to: { kind: 'mail', address: 'staff@example.org' },
        priorities: ['high', 'medium'],
        afterMs: null,
      },
      {
        name: 'duty pager',
        to: { kind: 'webhook', url: 'https://pager.example/alarms?room=2' },
        priorities: ['high'],
        afterMs: null,
      },
      {
        name: 'clinic lead',
        to: { kind: 'mail', address: 'lead@example.org' },
        priorities: ['high', 'medium'],
        afterMs: 600_000,
      },
    ])
    expect(settings).toMatchObject({
      returned: true,
      quietMs: 300_000,
      heartbeat: { url: 'https://watch.example/here', everyMs: 30_000 },
    })
    expect(secrets).toEqual({
      mailPassword: 'not-to-be-told',
      webhooks: { 'duty pager': '0123456789abcdef' },
      heartbeat: 'fedcba9876543210',
    })
  })

  it('has all its faults told at once, beside those of the rest of the file', () => {
    const faulty = `
delivery:
  quiet_min: -1
  mail: { host: smtp.example.org, tls: none, user: u, from: "a@b.example, c@d.example", password: secret }
  receivers:
    - { name: one, mail: x@example.org, after_min: 5 }
    - { name: one, webhook: "https://me:pw@pager.example", after_min: 5 }
    - { name: three, after_min: 5 }
`
    const home = makeHome(`${PLAIN.replace('bench: A', 'bench: Q')}${faulty}`)
    const told = messageOf(() => readIngestConfig(home))
    for (const part of [
      /instruments\[0\]\.bench .*needs one of the benches/,
      /delivery\.quiet_min \(line \d+\) needs another value/,
      /delivery\.mail\.password .*is not a setting here/,
      /delivery\.mail\.from .*needs one mail address/,
      /delivery\.mail\.tls .*needs starttls or implicit where there is a user/,
      /delivery\.receivers\[1\]\.name .*needs a name no other receiver has/,
      /delivery\.receivers\[1\]\.webhook .*without a user in it, got "https:\/\/\(hidden\)@/,
      /delivery\.receivers\[2\]\.mail .*needs either mail .* or webhook/,
      /delivery\.receivers .*needs somebody who is told at once/,
    ])
      expect(told).toMatch(part)
    expect(told).not.toContain('me:pw')
    expect(messageOf(() => readDelivery(home))).not.toMatch(/instruments/)
  })

  it('needs a mail server where somebody is told by mail', () => {
    const home = homeWith('delivery: { receivers: [{ name: one, mail: x@example.org }] }\n')
    expect(messageOf(() => readIngestConfig(home))).toMatch(
      /delivery\.receivers\[0\]\.mail \(line \d+\) needs delivery\.mail with the mail server/,
    )
  })

  it('is read although the rest of the file is being edited and has faults', () => {
    const home = makeHome(`${PLAIN.replace('bench: A', 'bench: Q')}${WHOLE}`)
    writeFileSync(join(home, 'delivery-secrets.yaml'), SECRETS, { mode: 0o600 })
    expect(readDelivery(home)?.settings.receivers).toHaveLength(3)
  })
})

describe('the secrets of delivery', () => {
  it.each([
    [
      'a missing file',
      undefined,
      0o600,
      'delivery needs mail_password, webhooks: duty pager, heartbeat in it',
    ],
    ['one that others may read', SECRETS, 0o644, 'may be read by others than its owner: chmod 600 it'],
    [
      'one that lacks some',
      'mail_password: not-to-be-told\n',
      0o600,
      'has no webhooks: duty pager, no heartbeat',
    ],
    ['a short secret', SECRETS.replace('0123456789abcdef', 'tooshort'), 0o600, 'at least 16 characters'],
    ['no YAML', 'mail_password: [not-to-be-told', 0o600, 'cannot be read as YAML'],
  ])('are refused with words that fix it: %s', (_, secrets, mode, words) => {
    const told = messageOf(() => readDelivery(homeWith(WHOLE, secrets, mode)))
    expect(told).toContain(words)
    expect(told).not.toContain('not-to-be-told')
    expect(told).not.toContain('tooshort')
  })
})
