import type { DeliverySettings, Receiver } from '../../ingest/config-delivery.ts'
import type { DeliverySecrets } from '../../ingest/delivery-secrets.ts'
import { createMailer } from './mail.ts'
import type { Message } from './message.ts'
import type { Outcome } from './outcome.ts'
import { postSigned } from './webhook.ts'

export interface Envelope {
  /** The same at every try of the same message. */
  readonly id: string
  readonly inReplyTo: string | null
  readonly nowMs: number
}

export type Send = (receiver: Receiver, message: Message, envelope: Envelope) => Promise<Outcome>

/** Sends by the receiver's own way. Whatever an answer says, no secret and no address of a webhook is in its words. */
export const createSender = ({ mail }: DeliverySettings, secrets: DeliverySecrets): Send => {
  const mailer = mail === null ? null : createMailer(mail, secrets.mailPassword)
  return async ({ name, to }, { subject, text, json }, { id, inReplyTo, nowMs }) => {
    const secret = secrets.webhooks[name] ?? ''
    const outcome =
      to.kind === 'webhook'
        ? await postSigned({ url: to.url, secret, id, body: json, nowMs })
        : mailer === null
          ? NO_MAIL_SERVER
          : await mailer({ to: to.address, id, inReplyTo, subject, text })
    return hidden(outcome, [secrets.mailPassword, secret, to.kind === 'webhook' ? to.url : null])
  }
}

const NO_MAIL_SERVER: Outcome = { kind: 'refused', why: 'no mail server is set up' }

const hidden = (outcome: Outcome, secrets: readonly (string | null)[]): Outcome => {
  if (outcome.kind === 'delivered') return outcome
  const why = secrets.reduce<string>(
    (words, secret) => (secret === null || secret === '' ? words : words.replaceAll(secret, '(hidden)')),
    outcome.why,
  )
  return { ...outcome, why }
}
