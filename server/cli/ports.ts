import type { Command } from 'commander'
import type { PortConfig } from '../../ingest/config-port.ts'
import { type MissingDevice, type WiredDevice, wiredDevices } from '../../ingest/port/wired-devices.ts'
import type { PortStatus } from '../../ingest/store/store.ts'
import { askStatus } from '../../ingest/tap/tap-client.ts'
import { portsOf } from '../../ingest/tap/wiring.ts'
import { readSurroundings } from '../config.ts'
import { messageOf } from '../errors.ts'

export const registerPorts = (program: Command): void => {
  program
    .command('ports')
    .description(
      'list serial devices: names that stay the same, which instrument holds each, what keeps one from being opened',
    )
    .option('--json', 'as JSON')
    .action(async ({ json }: { json?: boolean }) => {
      const { home } = readSurroundings()
      const wiring = portsOf(home)
      const { devices, missing } = wiredDevices(wiring.ports)
      const working = wiring.ports.length > 0 ? await statesOf(home) : { states: [], fault: null }
      if (json)
        return void console.log(
          JSON.stringify(
            { devices, missing, ports: working.states, faults: faultsOf(wiring, working) },
            null,
            2,
          ),
        )
      const lines = [
        ...(devices.length === 0 ? ['No serial device found. Plug the adapter in and run this again.'] : []),
        ...devices.flatMap((device) => deviceLines(device, working.states)),
        ...missing.map(missingLine),
        ...wiring.ports.flatMap((port) => networkLine(port, working.states)),
        ...faultsOf(wiring, working).map((fault) => `Note: ${fault}`),
      ]
      console.log(lines.join('\n'))
    })
}

interface Working {
  readonly states: readonly PortStatus[]
  readonly fault: string | null
}

const statesOf = async (home: string): Promise<Working> => {
  try {
    return { states: await askStatus(home), fault: null }
  } catch (error) {
    return { states: [], fault: messageOf(error) }
  }
}

const faultsOf = (wiring: ReturnType<typeof portsOf>, working: Working): string[] => [
  ...(wiring.fault === null ? [] : [`which instrument holds what is not known: ${wiring.fault}`]),
  ...(working.fault === null ? [] : [working.fault]),
]

const deviceLines = (d: WiredDevice, states: readonly PortStatus[]): string[] => [
  d.description ? `${d.path}   (${d.description})` : d.path,
  ...(d.vendor
    ? [
        `  usb: { vendor: "${d.vendor}", product: "${d.product}"${d.serial ? `, serial: "${d.serial}"` : ''} }`,
      ]
    : []),
  ...(d.byId ? [`  by what it is:      ${d.byId}`] : []),
  ...(d.byPath ? [`  by where it sits:   ${d.byPath}`] : []),
  ...(d.socketOnly
    ? ['  no serial number: told apart by its USB socket only, keep the cable in that socket']
    : []),
  ...(d.stable === null
    ? ['  no name of it stays the same: it may be another device after the next start']
    : []),
  d.port === null
    ? '  held by:            nothing in the wiring'
    : `  held by:            ${holder(d.instruments, d.port)}${stateOf(d.port, states)}`,
  ...(d.barred === null ? [] : [`  CANNOT BE OPENED:   ${d.barred}`]),
]

const holder = (instruments: readonly string[], port: string): string =>
  `${instruments.join(', ') || 'no instrument'} (port ${port})`

const stateOf = (port: string, states: readonly PortStatus[]): string => {
  const found = states.find((s) => s.port === port)
  return found === undefined ? '' : `, ${found.state}${found.why === null ? '' : `: ${found.why}`}`
}

const missingLine = ({ port, instruments, why }: MissingDevice): string =>
  `Wired, but not there: ${holder(instruments, port)}: ${why}`

const networkLine = ({ name, source, instruments }: PortConfig, states: readonly PortStatus[]): string[] =>
  source.kind === 'tcp'
    ? [
        `${source.host}:${source.port} on the network`,
        `  held by:            ${holder(
          instruments.map((i) => i.instrument),
          name,
        )}${stateOf(name, states)}`,
      ]
    : []
