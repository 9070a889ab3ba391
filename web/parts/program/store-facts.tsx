import type { Health } from '../../../server/wire.ts'
import { bytes } from '../../../server/wording/format.ts'
import { Fact } from '../form/fact.tsx'
import { useSiteClock } from '../frame/site.ts'

/** Size of the files and for how long the disk will do. */
export const StoreFacts = ({ store }: { readonly store: Health['store'] }) => {
  const clock = useSiteClock()
  return (
    <>
      <Fact name="Files">
        readings {bytes(store.readings_file_bytes)}, record {bytes(store.ledger_file_bytes)}
        {store.not_rolled_up > 0 && `; ${store.not_rolled_up} older readings are still being summed up`}
      </Fact>
      <Fact name="Raw readings">
        {store.keep_raw_days === null ? 'all are kept' : `kept for ${store.keep_raw_days} days`}
        {store.keep_raw_days !== null &&
          (store.results_kept_before === null
            ? ' (none is removed yet: the results of their batches come first)'
            : ` (results of batches kept up to ${clock.day(store.results_kept_before)}; none after that is removed)`)}
        {store.readings_per_day !== null && `, ${Math.round(store.readings_per_day)} a day now`}
      </Fact>
      <Fact name="Disk">
        {store.disk_nearly_full && <b>NEARLY FULL: make room. </b>}
        {bytes(store.disk_free_bytes)} of {bytes(store.disk_total_bytes)} free
        {store.disk_full_at !== null && `, full at the present rate about ${clock.day(store.disk_full_at)}`}
      </Fact>
    </>
  )
}
