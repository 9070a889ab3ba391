import { type Batch, gasState } from '../ledger/batch.ts'
import { ozoneMinutes } from '../ledger/ozone-time.ts'

/** At the end of the prep time; bubbling again, no later than when the method sheet's ozone minutes are used up. */
export const plannedOff = (batch: Batch | undefined): string | null => {
  const on = batch?.ozoneOnAt.at(-1)
  const prepMin = batch?.settings.prep_min
  if (!batch || on === undefined || prepMin === undefined || gasState(batch).kind !== 'bubbling') return null
  const most = batch.settings.from_sheet?.bubble_again?.most_ozone_min ?? Number.POSITIVE_INFINITY
  const left = Math.max(0, most - ozoneMinutes(batch, Date.parse(on)))
  return new Date(Date.parse(on) + Math.min(prepMin, left) * 60_000).toISOString()
}
