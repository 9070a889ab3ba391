import { isAbsolute, join } from 'node:path'
import { z } from 'zod'

/** Who is told of alarms beyond the screens, and by which way. Passwords are in a file of their own. */
export interface DeliverySettings {
  readonly mail: MailServer | null
  readonly receivers: readonly Receiver[]
  /** Also told when an alarm is over. */
  readonly returned: boolean
  /** The same alarm back within so long is told only if it still stands then, ms. */
  readonly quietMs: number
  readonly heartbeat: { readonly url: string; readonly everyMs: number } | null
  readonly secretsFile: string
}

export interface MailServer {
  readonly host: string
  readonly port: number
  /** `starttls` and `implicit` never send a word without TLS; `none` never uses it. */
  readonly tls: 'starttls' | 'implicit' | 'none'
  /** Null where the server asks nobody who they are. */
  readonly user: string | null
  readonly from: string
}

export const PRIORITIES = ['high', 'medium', 'low'] as const
export type Priority = (typeof PRIORITIES)[number]

export interface Receiver {
  readonly name: string
  readonly to:
    | { readonly kind: 'mail'; readonly address: string }
    | { readonly kind: 'webhook'; readonly url: string }
  readonly priorities: readonly Priority[]
  /** Told only when nobody has acknowledged for so long, ms; null: told at once. */
  readonly afterMs: number | null
}

const address = z
  .string()
  .max(200)
  .regex(/^[^\s@<>,;:"()]+@[^\s@<>,;:"()]+$/, 'needs one mail address such as staff@example.org')

const isHttp = (text: string): boolean => /^https?:\/\/[^/@\s]+(\/\S*)?$/.test(text) && URL.canParse(text)

const url = z
  .string()
  .max(1000)
  .refine(isHttp, 'needs an address such as https://pager.example/alarms, without a user in it')

const priorities = z.array(z.enum(PRIORITIES)).min(1)

const mail = z.strictObject({
  host: z.string().min(1).max(200),
  port: z.number().int().min(1).max(65_535).optional(),
  tls: z.enum(['starttls', 'implicit', 'none']).default('starttls'),
  user: z.string().min(1).max(200).optional(),
  from: address,
})

const receiver = z.strictObject({
  name: z.string().regex(/^[^\p{Cc}]{1,60}$/u, 'needs 1 to 60 characters on one line'),
  mail: address.optional(),
  webhook: url.optional(),
  priorities: priorities.optional(),
  after_min: z.number().min(1).max(1440).optional(),
})

/** Shape of the section `delivery`. What must fit together in it: `config-delivery-faults.ts`. */
export const deliverySchema = z.strictObject({
  priorities: priorities.default(['high', 'medium']),
  returned: z.boolean().default(true),
  quiet_min: z.number().min(0).max(120).default(5),
  mail: mail.optional(),
  receivers: z.array(receiver).max(50).default([]),
  heartbeat: z.strictObject({ url, every_s: z.number().min(5).max(3600).default(60) }).optional(),
  secrets_file: z.string().min(1).default('delivery-secrets.yaml'),
})

type DeliveryFile = z.infer<typeof deliverySchema>

const USUAL_PORT = { starttls: 587, implicit: 465, none: 25 } as const
const MINUTE_MS = 60_000

export const deliveryOf = (file: DeliveryFile, home: string): DeliverySettings =>
  Object.freeze({
    mail: file.mail === undefined ? null : mailServerOf(file.mail),
    receivers: file.receivers.map((each) => receiverOf(each, file.priorities)),
    returned: file.returned,
    quietMs: file.quiet_min * MINUTE_MS,
    heartbeat:
      file.heartbeat === undefined
        ? null
        : { url: file.heartbeat.url, everyMs: file.heartbeat.every_s * 1000 },
    secretsFile: isAbsolute(file.secrets_file) ? file.secrets_file : join(home, file.secrets_file),
  })

const mailServerOf = ({ host, port, tls, user, from }: NonNullable<DeliveryFile['mail']>): MailServer => ({
  host,
  port: port ?? USUAL_PORT[tls],
  tls,
  user: user ?? null,
  from,
})

const receiverOf = (
  { name, mail: to, webhook, priorities: own, after_min: after }: DeliveryFile['receivers'][number],
  usual: readonly Priority[],
): Receiver => ({
  name,
  to: to === undefined ? { kind: 'webhook', url: webhook ?? '' } : { kind: 'mail', address: to },
  priorities: own ?? usual,
  afterMs: after === undefined ? null : after * MINUTE_MS,
})
