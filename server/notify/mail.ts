import type { Transporter } from 'nodemailer'
import type { MailServer } from '../../ingest/config-delivery.ts'
import { type Outcome, said, troubleWords } from './outcome.ts'

const CONNECT_TIMEOUT_MS = 10_000
const SILENCE_TIMEOUT_MS = 30_000

export interface Mail {
  readonly to: string
  /** Makes the Message-ID: the same at every try. */
  readonly id: string
  /** Of the message this one belongs to; null for the first. */
  readonly inReplyTo: string | null
  readonly subject: string
  readonly text: string
}

/** What a mail gets as its Message-ID, for ever. */
export const messageIdOf = (id: string, { from }: Pick<MailServer, 'from'>): string =>
  `<${id}@${from.slice(from.indexOf('@') + 1)}>`

/** Sends one mail after another by SMTP, a connection for each. The library is loaded with the first. */
export const createMailer = (
  server: MailServer,
  password: string | null,
): ((mail: Mail) => Promise<Outcome>) => {
  let transport: Transporter | undefined
  return async ({ to, id, inReplyTo, subject, text }) => {
    transport ??= await transportOf(server, password)
    const parent = inReplyTo === null ? undefined : messageIdOf(inReplyTo, server)
    try {
      const sent = await transport.sendMail({
        from: { name: 'Spargewatch', address: server.from },
        to,
        subject,
        text,
        messageId: messageIdOf(id, server),
        ...(parent === undefined ? {} : { inReplyTo: parent, references: parent }),
        // told by a program: no out-of-office answers (RFC 3834)
        headers: { 'Auto-Submitted': 'auto-generated' },
        disableFileAccess: true,
        disableUrlAccess: true,
      })
      return { kind: 'delivered', words: said(String((sent as { response?: unknown }).response ?? '')) }
    } catch (error) {
      return outcomeOf(error as SmtpError)
    }
  }
}

const transportOf = async (
  { host, port, tls, user }: MailServer,
  password: string | null,
): Promise<Transporter> => {
  const { createTransport } = await import('nodemailer')
  return createTransport({
    host,
    port,
    secure: tls === 'implicit',
    requireTLS: tls === 'starttls',
    ignoreTLS: tls === 'none',
    ...(user === null || password === null ? {} : { auth: { user, pass: password } }),
    connectionTimeout: CONNECT_TIMEOUT_MS,
    greetingTimeout: CONNECT_TIMEOUT_MS,
    socketTimeout: SILENCE_TIMEOUT_MS,
    logger: false,
  }) as Transporter
}

interface SmtpError extends Error {
  readonly code?: string
  readonly responseCode?: number
  readonly response?: string
}

/** Answers to who we are and to a way without TLS say nothing of the message; those to the message nothing of others. */
const outcomeOf = (error: SmtpError): Outcome => {
  const { code, responseCode = 0, response } = error
  const answer = said(response ?? error.message)
  switch (code) {
    case 'EAUTH':
    case 'ENOAUTH':
      return responseCode >= 400 && responseCode < 500
        ? { kind: 'unreachable', why: `it cannot check user and password now: ${answer}`, retryAfterMs: 0 }
        : { kind: 'not-let-in', why: `it does not accept user and password: ${answer}` }
    case 'ETLS':
      return { kind: 'not-let-in', why: `no way to it with TLS, and nothing is sent without: ${answer}` }
    case 'EENVELOPE':
    case 'EMESSAGE':
      return ofTheMessage(responseCode, answer)
    default:
      return ofTheWay(error, answer)
  }
}

/** RFC 5321, 4.2.1: 5yz will not do next time either, 4yz may. 530: it wants to know who we are (RFC 4954). */
const ofTheMessage = (responseCode: number, answer: string): Outcome => {
  const why = `the mail server answered: ${answer}`
  if (responseCode === 530) return { kind: 'not-let-in', why }
  if (responseCode === 421 || responseCode === 503) return { kind: 'unreachable', why, retryAfterMs: 0 }
  return responseCode >= 500 ? { kind: 'refused', why } : { kind: 'later', why }
}

/** A certificate that nobody vouches for, or TLS spoken where none is understood, needs a person; a silent way may come back. */
const ofTheWay = (error: SmtpError, answer: string): Outcome => {
  const all = `${error.message} ${error.cause instanceof Error ? error.cause.message : ''}`
  if (/certificate|self-signed|altname/i.test(all))
    return { kind: 'not-let-in', why: `its certificate is not trusted: ${answer}` }
  if (/SSL routines|wrong version number/i.test(all))
    return { kind: 'not-let-in', why: `TLS does not come about; see the setting tls: ${answer}` }
  return { kind: 'unreachable', why: troubleWords(error), retryAfterMs: 0 }
}
