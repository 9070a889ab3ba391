import { existsSync, statfsSync, statSync } from 'node:fs'
import { readingsFile } from '../../ingest/store/home.ts'
import { resultsKeptBefore } from '../../ingest/store/kept-results.ts'
import { daysUntilFull, type StoreSize, sizeOf } from '../../ingest/store/size.ts'
import type { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { isoOf, timeUs } from '../../ingest/units.ts'
import { isNearlyFull } from '../alarm/disk-nearly-full.ts'
import type { DiskSeen } from '../alarm/site-alarm-view.ts'
import type { ServerConfig } from '../config.ts'
import { ledgerFile } from '../home-files.ts'
import type { Health } from '../wire.ts'

const DAY_MS = 86_400_000

interface StorePlace {
  readonly config: Pick<ServerConfig, 'home' | 'keepRawDays'>
  readonly store: Pick<SqliteStore, 'db' | 'rollUp'>
}

/** Size of the files, how fast they grow, and when the disk is full at the present rate. */
export const storeView = ({ config, store }: StorePlace, nowMs: number): Health['store'] => {
  const { size, disk } = diskView({ config, store }, nowMs)
  const days = disk.daysUntilFull
  return {
    readings: size.readings,
    readings_file_bytes: bytesOf(readingsFile(config.home)),
    ledger_file_bytes: bytesOf(ledgerFile(config.home)),
    free_in_file_bytes: size.freeInFileBytes,
    bytes_per_reading: size.bytesPerReading,
    readings_per_day: size.readingsPerDay,
    not_rolled_up: size.notRolledUp,
    keep_raw_days: config.keepRawDays,
    results_kept_before: config.keepRawDays === null ? null : keptBefore(config.home),
    disk_free_bytes: disk.freeBytes,
    disk_total_bytes: disk.totalBytes,
    disk_full_at: days === null ? null : new Date(nowMs + days * DAY_MS).toISOString(),
    disk_nearly_full: isNearlyFull(disk),
  }
}

/** Room on the disk of the home, and for how long it will do. */
export const diskView = (
  { config, store }: StorePlace,
  nowMs: number,
): { readonly size: StoreSize; readonly disk: DiskSeen } => {
  const size = sizeOf(store.db, store.rollUp, timeUs(nowMs * 1000))
  const { bavail, blocks, bsize } = statfsSync(config.home)
  const freeBytes = bavail * bsize
  const days = daysUntilFull(size, freeBytes + size.freeInFileBytes, config.keepRawDays)
  return { size, disk: { freeBytes, totalBytes: blocks * bsize, daysUntilFull: days } }
}

/** Null while nothing is kept, or where there is nothing to keep. */
const keptBefore = (home: string): string | null => {
  const us = resultsKeptBefore(home)
  return us === 0 || us === Number.MAX_SAFE_INTEGER ? null : isoOf(us)
}

/** A database with what its write-ahead log holds beside it. */
const bytesOf = (path: string): number =>
  [path, `${path}-wal`].reduce((sum, file) => sum + (existsSync(file) ? statSync(file).size : 0), 0)
