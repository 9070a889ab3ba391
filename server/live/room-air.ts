import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import type { SeriesInfo } from '../../ingest/store/store.ts'
import { timeUs } from '../../ingest/units.ts'
import type { RoomOzoneSeen } from '../alarm/room-ozone-seen.ts'
import { corrected } from '../calibration/correction.ts'
import type { ChannelMemory } from './bench-memory.ts'
import type { ServerClock } from './server-clock.ts'

const MINUTE_S = 60
const EIGHT_HOURS_MIN = 480
/** Reads at most 8 h of readings: once a minute is enough for an average of eight hours. */
const LOOK_EVERY_MS = 60_000

/** What the air of a room held: the last minute from memory, the last eight hours from the store. */
export class RoomAir {
  private readonly store: SqliteStore
  private readonly monitor: SeriesInfo
  private readonly memory: ChannelMemory
  private eightHours: { readonly atMs: number; readonly ppm: number | null } | undefined

  constructor(store: SqliteStore, monitor: SeriesInfo, memory: ChannelMemory) {
    this.store = store
    this.monitor = monitor
    this.memory = memory
  }

  seen({ nowMs, steadyMs }: ServerClock): RoomOzoneSeen {
    const atMs = steadyMs()
    if (this.eightHours === undefined || atMs - this.eightHours.atMs >= LOOK_EVERY_MS)
      this.eightHours = { atMs, ppm: this.averageOfEightHours(nowMs()) }
    return { minutePpm: this.lastMinute(atMs), eightHoursPpm: this.eightHours.ppm }
  }

  /** Null when the monitor has been silent for a minute, or sent nothing that counts. */
  private lastMinute(steadyMs: number): number | null {
    const { newestGood, timesS, values } = this.memory
    if (!newestGood || steadyMs - newestGood.receivedMs > MINUTE_S * 1000) return null
    const times = timesS.view()
    const all = values.view()
    let sum = 0
    let count = 0
    for (let i = times.length - 1; i >= 0 && (times[i] ?? 0) > newestGood.elapsedS - MINUTE_S; i--) {
      const value = all[i] ?? Number.NaN
      if (Number.isNaN(value)) continue
      sum += value
      count += 1
    }
    return count === 0 ? null : sum / count
  }

  /** Σ C·t/8 h, as OSHA and ACGIH define it; what was not measured adds nothing, so that it is "at least". */
  private averageOfEightHours(nowMs: number): number | null {
    const from = timeUs((nowMs - EIGHT_HOURS_MIN * 60_000) * 1000)
    const columns = this.store.envelopeNow(this.monitor, from, timeUs(nowMs * 1000), EIGHT_HOURS_MIN)
    const measured = columns.filter((column) => column.mean !== null && column.count > 0)
    const correcting = this.memory.newestGood?.correcting
    if (measured.length === 0 || correcting === undefined) return null
    const sum = measured.reduce((total, column) => total + corrected(column.mean ?? 0, correcting), 0)
    return sum / EIGHT_HOURS_MIN
  }
}
