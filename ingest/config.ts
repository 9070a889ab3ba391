import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { LineCounter, parseDocument } from 'yaml'
import { type DeliverySettings, deliveryOf } from './config-delivery.ts'
import { faultsOf, referencesOf } from './config-faults.ts'
import { type InfluxTarget, influxTargetsOf } from './config-influx.ts'
import { type PortConfig, portOf } from './config-port.ts'
import { type FileSchema, fileSchema } from './config-schema.ts'
import { IngestError, messageOf } from './errors.ts'

/** The wiring: which instrument on which port measures what at which bench. Parsed once, frozen. */
export interface IngestConfig {
  readonly site: string
  readonly simulated: boolean
  readonly ports: readonly PortConfig[]
  /** Everything but ports and instruments, as text: a change of it takes effect at the next start. */
  readonly rest: string
  readonly commitIntervalMs: number
  /** Raw readings older than this are removed; null: never. */
  readonly keepRawDays: number | null
  /** Where readings are forwarded to; null when they stay on this machine. */
  readonly influx: InfluxTarget | null
  /** Where a mirror of the record goes; null when it stays on this machine. */
  readonly influxRecord: InfluxTarget | null
  /** Who is told of alarms beyond the screens; null: nobody. */
  readonly delivery: DeliverySettings | null
}

const CONFIG_FILE = 'spargewatch.yaml'
export const configFile = (home: string): string => join(home, CONFIG_FILE)

/** Reads and checks the wiring of a home folder. Every fault is reported at once, with its line. */
export const readIngestConfig = (home: string): IngestConfig => {
  const path = configFile(home)
  const checked = checkConfigText(readConfigText(path), home)
  if (checked.ok) return checked.config
  const { faults } = checked
  throw new IngestError(
    'config-invalid',
    `${path} has ${faults.length} ${faults.length === 1 ? 'fault' : 'faults'}:\n${faults.map((f) => `  - ${f}`).join('\n')}`,
    { faults },
  )
}

export type CheckedConfig =
  | { readonly ok: true; readonly config: IngestConfig }
  | { readonly ok: false; readonly faults: readonly string[] }

/** Checks a text as the wiring of a home folder; all faults, each with key, line, value and requirement. */
export const checkConfigText = (text: string, home: string): CheckedConfig => {
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines })
  const faults = document.errors.map((e) => e.message.split('\n')[0] ?? e.message)
  const raw: unknown = faults.length === 0 ? document.toJS() : undefined
  const parsed = fileSchema.safeParse(raw)
  if (raw !== undefined)
    faults.push(
      ...faultsOf(parsed.error?.issues ?? [], document, lines),
      ...referencesOf(raw, document, lines),
    )
  return parsed.success && faults.length === 0
    ? { ok: true, config: Object.freeze(toConfig(parsed.data, home)) }
    : { ok: false, faults }
}

const readConfigText = (path: string): string => {
  try {
    return readFileSync(path, 'utf8')
  } catch (error) {
    throw new IngestError('config-unreadable', `${path} cannot be read: ${messageOf(error)}`, { path }, error)
  }
}

const toConfig = (file: FileSchema, home: string): IngestConfig => {
  const influx = file.store.influx === undefined ? null : influxTargetsOf(file.store.influx, home)
  return {
    site: file.site.name,
    simulated: file.site.simulated,
    commitIntervalMs: file.store.commit_interval_ms,
    keepRawDays: file.store.keep_raw_days ?? null,
    influx: influx?.readings ?? null,
    influxRecord: influx?.record ?? null,
    delivery: file.delivery === undefined ? null : deliveryOf(file.delivery, home),
    rest: JSON.stringify([file.site, file.benches, file.store, file.delivery]),
    ports: Object.entries(file.ports).map(([name, port]) => portOf(name, port, file, home)),
  }
}
