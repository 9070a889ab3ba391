import type { Channel, Reading } from '../../ingest/reading/reading.ts'
import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { timeUs } from '../../ingest/units.ts'

/** The readings stored here held against those in the other place. */
export interface BothSides {
  readonly here: number
  readonly there: number
  /** Stored here, and no reading of that series and time is there. */
  readonly lacking: number
  /** There, and none of that series and time is here. */
  readonly extra: number
  /** On both sides, and not the same in value, quality, order of arrival or anything else that is stored. */
  readonly different: number
  /** One arrival that stands there under two identities. */
  readonly doubled: number
}

export const isSame = (sides: BothSides): boolean =>
  sides.here > 0 && sides.lacking + sides.extra + sides.different + sides.doubled === 0

export const heldAgainst = (here: readonly Reading[], there: readonly Reading[]): BothSides => {
  const ours = new Map(here.map((r) => [identity(r), whole(r)]))
  const theirs = new Map(there.map((r) => [identity(r), whole(r)]))
  const lacking = [...ours.keys()].filter((id) => !theirs.has(id)).length
  const extra = [...theirs.keys()].filter((id) => !ours.has(id)).length
  const different = [...ours].filter(([id, text]) => theirs.has(id) && theirs.get(id) !== text).length
  const doubled = there.length - new Set(there.map((r) => r.seq)).size
  return { here: here.length, there: there.length, lacking, extra, different, doubled }
}

/** Everything of one instrument in InfluxDB, asked for by channel. */
export const readingsThere = async (
  connection: InfluxConnection,
  site: string,
  instrument: { readonly bench: string; readonly instrument: string; readonly channels: readonly Channel[] },
): Promise<Reading[]> => {
  const store = new InfluxStore({ connection, site })
  const { channels, ...of } = instrument
  const found = await Promise.all(
    channels.map((channel) => store.range({ ...of, channel }, timeUs(0), timeUs(4e15))),
  )
  return found.flat()
}

const seriesOf = ({ series: { bench, instrument, channel } }: Reading) => [bench, instrument, channel]

const identity = (r: Reading): string => JSON.stringify([...seriesOf(r), r.timeUs])

const whole = (r: Reading): string =>
  JSON.stringify([r.seq, r.value, r.raw, r.quality, r.bootId, r.monoMs, r.movedUs])
