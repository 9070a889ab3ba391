import { chmodSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Reading } from '../../ingest/reading/reading.ts'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { temporaryFolder } from './temporary-folder.ts'

export interface Wiring {
  /** The port's own settings, in the flow form of YAML: `kind: tcp, host: 127.0.0.1, port: 4000`. */
  readonly port: string
  readonly benches?: readonly string[]
  readonly intervalS?: number
  readonly simulated?: boolean
  readonly commitMs?: number
}

/** A meter of the README's kind, on one port. */
export const wiring = ({
  port,
  benches = ['A'],
  intervalS = 1,
  simulated = false,
  commitMs = 50,
}: Wiring): string => `site: { name: Test clinic, zone: Europe/Lisbon, simulated: ${simulated} }
benches:
${benches.map((id) => `  - { id: ${id}, name: Bench ${id} }`).join('\n')}
ports:
  meter-a: { ${port}, frame: { delimiter: "\\r\\n", checksum: xor } }
instruments:
  - id: meter-a
    port: meter-a
    bench: ${benches[0] ?? 'A'}
    starts_with: SPGW
    field_count: 6
    interval_s: ${intervalS}
    channels:
      - { channel: dissolved-ozone, field: 2, unit: ug/mL }
      - { channel: fluid-temperature, field: 4, unit: C }
store: { commit_interval_ms: ${commitMs} }
`

export const tcpPort = (port: number, silenceS = 10): string =>
  `kind: tcp, host: 127.0.0.1, port: ${port}, reopen_after_silence_s: ${silenceS}`

export const serialPort = (device: string): string => `kind: serial, device: "${device}", baud: 9600`

/** A configured home. The folder is gone when the test has ended, unless one is given. */
export const makeHome = (yaml: string, folder = join(temporaryFolder(), 'home')): string => {
  mkdirSync(folder, { recursive: true, mode: 0o700 })
  chmodSync(folder, 0o700)
  writeFileSync(join(folder, 'spargewatch.yaml'), yaml, { mode: 0o600 })
  return folder
}

/** Every reading of a home as another reader sees it, beside the running program. */
export const readingsOf = (home: string, afterSeq = 0): Reading[] => {
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: false })
  try {
    return store.after(afterSeq, 10_000_000)
  } finally {
    store.db.close()
  }
}

export const valuesOf = (readings: readonly Reading[], channel = 'dissolved-ozone'): (number | null)[] =>
  readings.filter((r) => r.series.channel === channel).map((r) => r.value)
