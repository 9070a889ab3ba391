import { isAbsolute, join } from 'node:path'
import { z } from 'zod'

/** Where readings are forwarded to, beside the local file. Password or token are in a file of their own. */
export interface InfluxTarget {
  readonly url: string
  readonly version: 1 | 2 | 3
  /** What InfluxQL reads from: on 2.x the name that the bucket's DBRP mapping gives it. */
  readonly database: string
  /** Of 2.x; null elsewhere. */
  readonly bucket: { readonly org: string; readonly bucket: string } | null
  /** Certificate authority of the server, a PEM file; null for the ones the system trusts. */
  readonly caFile: string | null
  readonly secretsFile: string
}

/** The same server, another place: where a read-only mirror of the record goes. */
export interface InfluxTargets {
  readonly readings: InfluxTarget
  /** Null where the record stays on this machine. */
  readonly record: InfluxTarget | null
}

const isHttp = (text: string): boolean =>
  /^https?:\/\/[^/@\s]+(\/[^@\s?#]*)?$/.test(text) && URL.canParse(text)

const common = {
  url: z
    .string()
    .refine(isHttp, 'needs an address such as https://influx.example:8086, without a user in it'),
  ca_file: z.string().min(1).optional(),
  secrets_file: z.string().min(1).default('influx-secrets.yaml'),
}
const database = z.string().min(1).max(120)

/** The three generations differ in what a place for readings is called. */
const generations = z.discriminatedUnion(
  'version',
  [
    z.strictObject({ version: z.literal(1), database, record_database: database.optional(), ...common }),
    z.strictObject({
      version: z.literal(2),
      org: z.string().min(1),
      bucket: z.string().min(1),
      database: database.optional(),
      record_bucket: z.string().min(1).optional(),
      record_database: database.optional(),
      ...common,
    }),
    z.strictObject({ version: z.literal(3), database, record_database: database.optional(), ...common }),
  ],
  { error: 'needs version 1, 2 or 3' },
)

type InfluxSettings = z.infer<typeof generations>

const placeOf = (file: InfluxSettings): string => (file.version === 2 ? file.bucket : file.database)
const recordPlaceOf = (file: InfluxSettings): string | undefined =>
  file.version === 2 ? file.record_bucket : file.record_database

/** Readings may be kept for a while only; the record is kept for ever, and holds the names of people. */
export const influxSchema = generations
  .refine((file) => recordPlaceOf(file) !== placeOf(file), {
    error:
      'needs another place for the record (record_database, on version 2 record_bucket) than for the readings',
  })
  .refine(
    (file) => file.version !== 2 || file.record_database === undefined || file.record_bucket !== undefined,
    {
      error: 'needs record_bucket beside record_database on version 2',
    },
  )

export const influxTargetsOf = (file: InfluxSettings, home: string): InfluxTargets => {
  const inHome = (path: string) => (isAbsolute(path) ? path : join(home, path))
  const server = {
    url: file.url.replace(/\/+$/, ''),
    version: file.version,
    caFile: file.ca_file === undefined ? null : inHome(file.ca_file),
    secretsFile: inHome(file.secrets_file),
  }
  const target = (place: string, database: string | undefined): InfluxTarget =>
    Object.freeze({
      ...server,
      database: database ?? place,
      bucket: file.version === 2 ? { org: file.org, bucket: place } : null,
    })
  const record = recordPlaceOf(file)
  return {
    readings: target(placeOf(file), file.database),
    record: record === undefined ? null : target(record, file.record_database),
  }
}
