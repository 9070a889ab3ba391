import { existsSync } from 'node:fs'
import { z } from 'zod'
import type { DeliverySettings } from './config-delivery.ts'
import { readSecretsFile, secretsFault } from './secrets-file.ts'

export interface DeliverySecrets {
  /** Null where the mail server asks nobody who they are. */
  readonly mailPassword: string | null
  /** What each webhook's messages are signed with, by the receiver's name. */
  readonly webhooks: Readonly<Record<string, string>>
  readonly heartbeat: string | null
}

/** Engineering judgement: short enough to be typed once, too long to be tried out. */
const LEAST_SECRET = 16
const secret = z.string().min(LEAST_SECRET)
const schema = z.strictObject({
  mail_password: z.string().min(1).optional(),
  webhooks: z.record(z.string(), secret).default({}),
  heartbeat: secret.optional(),
})

/** Reads and checks the secrets that the settings need. What is in the file is never part of a message. */
export const readDeliverySecrets = (settings: DeliverySettings): DeliverySecrets => {
  const path = settings.secretsFile
  const needed = neededBy(settings)
  if (!existsSync(path)) {
    if (needed.length === 0) return { mailPassword: null, webhooks: {}, heartbeat: null }
    throw secretsFault(path, `does not exist: delivery needs ${needed.join(', ')} in it`)
  }
  const parsed = schema.safeParse(readSecretsFile(path))
  if (!parsed.success)
    throw secretsFault(
      path,
      `needs mail_password, webhooks (a secret of at least ${LEAST_SECRET} characters for each receiver's name) and heartbeat (the same), each where it is used, and nothing else`,
    )
  const { mail_password: mailPassword = null, webhooks, heartbeat = null } = parsed.data
  const secrets = { mailPassword, webhooks, heartbeat }
  const missing = needed.filter((name) => !isThere(name, secrets))
  if (missing.length > 0) throw secretsFault(path, `has no ${missing.join(', no ')}`)
  return secrets
}

const neededBy = ({ mail, receivers, heartbeat }: DeliverySettings): string[] => [
  ...(mail !== null && mail.user !== null ? ['mail_password'] : []),
  ...receivers.flatMap(({ name, to }) => (to.kind === 'webhook' ? [`webhooks: ${name}`] : [])),
  ...(heartbeat === null ? [] : ['heartbeat']),
]

const isThere = (name: string, { mailPassword, webhooks, heartbeat }: DeliverySecrets): boolean => {
  if (name === 'mail_password') return mailPassword !== null
  if (name === 'heartbeat') return heartbeat !== null
  return Object.hasOwn(webhooks, name.replace('webhooks: ', ''))
}
