import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import type { TimeUs } from '../../ingest/units.ts'

/** Up to when raw readings of a batch may have been removed by the retention setting; undefined: none were. */
export const removedBefore = (
  store: SqliteStore,
  series: readonly (SeriesInfo | undefined)[],
  batchStart: TimeUs,
): TimeUs | undefined =>
  series
    .flatMap((s) => (s ? [store.rawKeptFrom(s)] : []))
    .filter((moment) => moment !== undefined)
    .filter((moment) => moment > batchStart)
    .sort((a, b) => b - a)[0]
