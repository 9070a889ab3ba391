import { ServerError } from '../errors.ts'
import type { Batch } from '../ledger/batch.ts'
import type { Service } from '../service.ts'

/** The batch an address names; throws `not-found` for one that does not exist. */
export const batchOf = (service: Pick<Service, 'reports'>, id = ''): Batch => {
  const batch = service.reports.batch(id)
  if (!batch)
    throw new ServerError('not-found', `batch ${id} does not exist`, {
      fix: 'see /api/batches for those that do',
    })
  return batch
}

/** Of a bench that is no longer wired, what the whole site is. */
export const simulatedAt = ({ config }: Pick<Service, 'config'>, bench: string): boolean =>
  config.benches.find((b) => b.id === bench)?.simulated ?? config.simulated
