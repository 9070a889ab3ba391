import { describe, expect, it } from 'vitest'
import type { MailServer } from '../../../ingest/config-delivery.ts'
import { createMailer, messageIdOf } from '../../../server/notify/mail.ts'
import { hasOpenssl, selfSigned } from '../../support/self-signed.ts'
import { headerOf, type SmtpBehaviour, startSmtp, textOf } from '../../support/smtp-server.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

const FROM = 'alarms@clinic.example'
const MAIL = {
  to: 'staff@clinic.example',
  id: '6ba7b810-9dad-8000-8000-00c04fd430c8',
  inReplyTo: null,
  subject: 'ALARM, high priority: Bench A, below the 15 µg/mL you set (Clínica)',
  text: 'Clínica, Bench A\n.\nWhat to do: discard.\n',
}
const PASSWORD = 'right'
const withLogin: SmtpBehaviour = { login: (user, password) => user === 'me' && password === PASSWORD }

const tried = async (
  behave: SmtpBehaviour,
  server: Partial<MailServer> = {},
  password: string | null = null,
) => {
  const smtp = await startSmtp(behave)
  const settings = {
    host: '127.0.0.1',
    port: smtp.port,
    tls: 'none',
    user: null,
    from: FROM,
    ...server,
  } as const
  const send = createMailer(settings, password)
  return { smtp, send, outcome: await send(MAIL) }
}

describe('a mail', () => {
  it('arrives whole, with a Message-ID that stays the same at every try', async () => {
    const { smtp, send, outcome } = await tried({})
    expect(outcome).toEqual({ kind: 'delivered', words: '250 taken' })
    await send({ ...MAIL, inReplyTo: 'parent' })
    const [first, second] = smtp.received
    if (!first || !second) throw new Error('two were sent')
    expect(first).toMatchObject({ from: FROM, to: MAIL.to, user: null })
    expect(textOf(first).replace(/\r\n/g, '\n').trimEnd()).toBe(MAIL.text.trimEnd())
    expect(headerOf(first, 'Message-ID')).toBe(`<${MAIL.id}@clinic.example>`)
    expect(headerOf(second, 'Message-ID')).toBe(messageIdOf(MAIL.id, { from: FROM }))
    expect([headerOf(first, 'In-Reply-To'), headerOf(second, 'In-Reply-To')]).toEqual([
      '',
      '<parent@clinic.example>',
    ])
    expect(headerOf(first, 'Auto-Submitted')).toBe('auto-generated')
    expect(headerOf(first, 'From')).toBe(`Spargewatch <${FROM}>`)
  })

  it('is sent as who the settings say', async () => {
    const { smtp, outcome } = await tried(withLogin, { user: 'me' }, PASSWORD)
    expect(outcome.kind).toBe('delivered')
    expect(smtp.received[0]?.user).toBe('me')
  })

  it.each([
    ['a wrong password', withLogin, 'not-let-in', /does not accept user and password: .*535 5\.7\.8/],
    ['a recipient nobody knows', { recipient: () => '550 5.1.1 no such user' }, 'refused', /550 5\.1\.1/],
    ['a recipient put off', { recipient: () => '451 4.7.1 come back later' }, 'later', /451 4\.7\.1/],
    ['a message that is not wanted', { message: () => '554 5.7.1 spam' }, 'refused', /554 5\.7\.1/],
    ['a full disk there', { message: () => '452 4.3.1 no room' }, 'later', /452 4\.3\.1/],
    ['a server about to close', { recipient: () => '421 4.3.2 closing' }, 'unreachable', /421|closing/],
    ['a line broken off', { message: () => 'hang-up' }, 'unreachable', /broke off the connection/],
  ] as const)('ends plainly: %s', async (_, behave, kind, words) => {
    const login = 'login' in behave ? ({ user: 'me' } as const) : {}
    const { outcome } = await tried(behave, login, 'login' in behave ? 'wrong' : null)
    expect(outcome).toMatchObject({ kind, why: expect.stringMatching(words) })
  })

  it('says which is missing when a server asks who we are and nobody is set up', async () => {
    const { outcome } = await tried(withLogin)
    expect(outcome).toMatchObject({ kind: 'not-let-in', why: expect.stringContaining('530') })
  })

  it('says that nobody answers', async () => {
    const { smtp, send } = await tried({})
    await smtp.down()
    expect(await send(MAIL)).toMatchObject({
      kind: 'unreachable',
      why: expect.stringMatching(/^nothing answers there \(connection refused\)/),
    })
  })

  it('is never sent, nor a password told, without TLS where TLS is asked for', async () => {
    const { smtp, outcome } = await tried(withLogin, { tls: 'starttls', user: 'me' }, PASSWORD)
    expect(outcome).toMatchObject({ kind: 'not-let-in', why: expect.stringMatching(/TLS/) })
    expect(smtp.received).toEqual([])
    expect(smtp.heard.join()).not.toMatch(/AUTH|MAIL FROM/)
  })

  it('says that the setting of TLS does not fit where a server speaks none', async () => {
    const { outcome } = await tried(withLogin, { tls: 'implicit', user: 'me' }, PASSWORD)
    expect(outcome).toMatchObject({ kind: 'not-let-in', why: expect.stringMatching(/see the setting tls/) })
  })

  it.skipIf(!hasOpenssl)('is not sent to a server whose certificate nobody vouches for', async () => {
    const { pem } = selfSigned(temporaryFolder())
    const { smtp, outcome } = await tried({ ...withLogin, pem }, { tls: 'starttls', user: 'me' }, PASSWORD)
    expect(outcome).toMatchObject({ kind: 'not-let-in', why: expect.stringMatching(/self-signed/) })
    expect(smtp.received).toEqual([])
  })
})
