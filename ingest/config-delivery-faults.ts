import { z } from 'zod'
import { fault, type ReferenceFault, repeated, under } from './config-fault.ts'

const text = z.string().optional().catch('')

/** Only what must fit together, forgiving about the rest: faults elsewhere must not hide faults here. */
export const looseDelivery = z
  .looseObject({
    mail: z
      .looseObject({ host: text, tls: text, user: text })
      .optional()
      .catch({ host: '', tls: '', user: undefined }),
    receivers: z
      .array(z.looseObject({ name: text, mail: text, webhook: text, after_min: z.unknown().optional() }))
      .optional()
      .catch(undefined),
  })
  .optional()
  .catch(undefined)

type Loose = NonNullable<z.infer<typeof looseDelivery>>

const LOOPBACK = /^(localhost|127(\.\d{1,3}){3}|::1)$/

/** What the section `delivery` says does not fit together. */
export const deliveryFaults = (delivery: Loose | undefined): ReferenceFault[] => {
  if (delivery === undefined) return []
  const { mail, receivers = [] } = delivery
  return [
    ...under(['mail'], mail === undefined ? [] : mailFaults(mail)),
    ...repeated(receivers.map(({ name }) => name)).map((i) =>
      fault(['receivers', i, 'name'], 'needs a name no other receiver has'),
    ),
    ...receivers.flatMap((each, i) => under(['receivers', i], wayFaults(each, mail !== undefined))),
    ...(receivers.length > 0 && receivers.every(({ after_min: after }) => after !== undefined)
      ? [fault(['receivers'], 'needs somebody who is told at once, without after_min')]
      : []),
  ]
}

const mailFaults = ({ host, tls, user }: NonNullable<Loose['mail']>): ReferenceFault[] =>
  tls === 'none' && user !== undefined && !LOOPBACK.test(host ?? '')
    ? [
        fault(
          ['tls'],
          'needs starttls or implicit where there is a user, or the password could be read on the way',
        ),
      ]
    : []

const wayFaults = (
  { mail, webhook }: NonNullable<Loose['receivers']>[number],
  hasMailServer: boolean,
): ReferenceFault[] => {
  if ((mail === undefined) === (webhook === undefined))
    return [
      fault(['mail'], 'needs either mail (an address) or webhook (an address of the web), one of the two'),
    ]
  return mail !== undefined && !hasMailServer
    ? [fault(['mail'], 'needs delivery.mail with the mail server (host, from)')]
    : []
}
