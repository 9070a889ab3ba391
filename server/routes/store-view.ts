import { existsSync, statfsSync, statSync } from 'node:fs'
import { readingsFile } from '../../ingest/store/home.ts'
import { daysUntilFull, sizeOf } from '../../ingest/store/size.ts'
import { timeUs } from '../../ingest/units.ts'
import { ledgerFile } from '../home-files.ts'
import type { Service } from '../service.ts'
import type { Health } from '../wire.ts'

/** Common practice, no source: two weeks are enough to get a disk or to choose how long raw readings are kept. */
const NEARLY_FULL_DAYS = 14
const LITTLE_SHARE = 0.05
const LITTLE_BYTES = 1e9
const DAY_MS = 86_400_000

/** Size of the files, how fast they grow, and when the disk is full at the present rate. */
export const storeView = (
  { config, store }: Pick<Service, 'config' | 'store'>,
  nowMs: number,
): Health['store'] => {
  const size = sizeOf(store.db, store.rollUp, timeUs(nowMs * 1000))
  const disk = statfsSync(config.home)
  const free = disk.bavail * disk.bsize
  const total = disk.blocks * disk.bsize
  const days = daysUntilFull(size, free + size.freeInFileBytes, config.keepRawDays)
  return {
    readings: size.readings,
    readings_file_bytes: bytesOf(readingsFile(config.home)),
    ledger_file_bytes: bytesOf(ledgerFile(config.home)),
    free_in_file_bytes: size.freeInFileBytes,
    bytes_per_reading: size.bytesPerReading,
    readings_per_day: size.readingsPerDay,
    not_rolled_up: size.notRolledUp,
    keep_raw_days: config.keepRawDays,
    disk_free_bytes: free,
    disk_total_bytes: total,
    disk_full_at: days === null ? null : new Date(nowMs + days * DAY_MS).toISOString(),
    disk_nearly_full:
      (days !== null && days < NEARLY_FULL_DAYS) || (free < LITTLE_BYTES && free < LITTLE_SHARE * total),
  }
}

/** A database with what its write-ahead log holds beside it. */
const bytesOf = (path: string): number =>
  [path, `${path}-wal`].reduce((sum, file) => sum + (existsSync(file) ? statSync(file).size : 0), 0)
