import { readFileSync } from 'node:fs'
import { LineCounter, parseDocument } from 'yaml'
import { z } from 'zod'
import { configFile } from './config.ts'
import { type DeliverySettings, deliveryOf, deliverySchema } from './config-delivery.ts'
import { deliveryFaults, looseDelivery } from './config-delivery-faults.ts'
import { faultsOf, sayFaults } from './config-faults.ts'
import { type DeliverySecrets, readDeliverySecrets } from './delivery-secrets.ts'
import { IngestError } from './errors.ts'

export interface Delivery {
  readonly settings: DeliverySettings
  readonly secrets: DeliverySecrets
}

const alone = z.looseObject({ delivery: deliverySchema.optional() })
const looseAlone = z.looseObject({ delivery: looseDelivery })

/**
 * The section `delivery` of a home's wiring, with its secrets; null where there is none. Faults elsewhere in the file do
 * not matter here: a server that starts anew beside a file just being edited still tells of alarms.
 */
export const readDelivery = (home: string): Delivery | null => {
  const lines = new LineCounter()
  const document = parseDocument(readFileSync(configFile(home), 'utf8'), { lineCounter: lines })
  const raw: unknown = document.errors.length > 0 ? undefined : document.toJS()
  const parsed = alone.safeParse(raw)
  const loose = looseAlone.safeParse(raw)
  const faults = [
    ...document.errors.map((e) => e.message.split('\n')[0] ?? e.message),
    ...(raw === undefined ? [] : faultsOf(parsed.error?.issues ?? [], document, lines)),
    ...sayFaults(
      deliveryFaults(loose.data?.delivery).map((each) => ({ ...each, path: ['delivery', ...each.path] })),
      document,
      lines,
    ),
  ]
  if (!parsed.success || faults.length > 0)
    throw new IngestError('config-invalid', `${configFile(home)}: ${faults.join('; ')}`, { faults })
  if (parsed.data.delivery === undefined) return null
  const settings = deliveryOf(parsed.data.delivery, home)
  return { settings, secrets: readDeliverySecrets(settings) }
}
