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
export const influxSchema = z.discriminatedUnion(
  'version',
  [
    z.strictObject({ version: z.literal(1), database, ...common }),
    z.strictObject({
      version: z.literal(2),
      org: z.string().min(1),
      bucket: z.string().min(1),
      database: database.optional(),
      ...common,
    }),
    z.strictObject({ version: z.literal(3), database, ...common }),
  ],
  { error: 'needs version 1, 2 or 3' },
)

export const influxTargetOf = (file: z.infer<typeof influxSchema>, home: string): InfluxTarget => {
  const inHome = (path: string) => (isAbsolute(path) ? path : join(home, path))
  const bucket = file.version === 2 ? { org: file.org, bucket: file.bucket } : null
  return Object.freeze({
    url: file.url.replace(/\/+$/, ''),
    version: file.version,
    database: file.database ?? bucket?.bucket ?? '',
    bucket,
    caFile: file.ca_file === undefined ? null : inHome(file.ca_file),
    secretsFile: inHome(file.secrets_file),
  })
}
