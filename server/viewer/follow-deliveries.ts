import type { Reading } from '../../ingest/reading/reading.ts'
import { seriesName } from '../../ingest/reading/reading.ts'
import type { InfluxConnection } from '../../ingest/store/influx-connection.ts'
import { InfluxStore } from '../../ingest/store/influx-store.ts'
import { createDeliveryViewer, fromNow } from '../../ingest/store/influx-viewer.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { type TimeUs, timeUs } from '../../ingest/units.ts'
import { messageOf } from '../errors.ts'

export interface FollowOptions {
  readonly connection: InfluxConnection
  readonly site: string
  readonly series: readonly SeriesInfo[]
  readonly nowUs: () => TimeUs
}

/** What has been read so far. */
export interface Followed {
  /** Newest reading of each series by its own time, by name of the series. */
  readonly newest: ReadonlyMap<string, Reading>
  readonly delivered: number
  /** Why nothing new could be read at the last look; null when it could. */
  readonly trouble: string | null
}

/** Deliveries of the last minutes are looked at again at the start: the newest readings may be on their way. */
const LOOK_BACK_US = 600e6
const EVERY_MS = 1000
const TROUBLE_MS = 3000

/** Follows the forwarder's delivery notes from now on, after the newest reading of each series was looked up. Only reads. */
export const createFollower = ({ connection, site, series, nowUs }: FollowOptions) => {
  const viewer = createDeliveryViewer(connection, site)
  const store = new InfluxStore({ connection, site })
  const newest = new Map<string, Reading>()
  let cursor = fromNow(timeUs(nowUs() - LOOK_BACK_US))
  let hasLookedUp = false
  let delivered = 0
  let trouble: string | null = null

  const take = (reading: Reading) => {
    const name = seriesName(reading.series)
    if (reading.timeUs > (newest.get(name)?.timeUs ?? 0)) newest.set(name, reading)
  }

  const look = async (): Promise<void> => {
    if (!hasLookedUp) for (const one of series) for (const reading of await store.newest(one)) take(reading)
    hasLookedUp = true
    const next = await viewer.next(cursor, nowUs())
    cursor = next.cursor
    next.readings.forEach(take)
    delivered += next.readings.length
  }

  /** Looks once; says after how many milliseconds it wants to be called again. Never throws. */
  const step = async (): Promise<number> => {
    try {
      await look()
      trouble = null
      return EVERY_MS
    } catch (error) {
      trouble = messageOf(error)
      return TROUBLE_MS
    }
  }

  return { step, followed: (): Followed => ({ newest, delivered, trouble }) }
}

/** Looks again and again until the returned function is called. */
export const startFollowing = (step: () => Promise<number>): (() => void) => {
  let timer: NodeJS.Timeout | undefined
  let ended = false
  const again = async () => {
    const waitMs = await step()
    if (!ended) timer = setTimeout(() => void again(), waitMs)
  }
  void again()
  return () => {
    ended = true
    clearTimeout(timer)
  }
}
