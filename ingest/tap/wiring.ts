import { existsSync } from 'node:fs'
import { checkConfigText, configFile, readIngestConfig } from '../config.ts'
import type { PortConfig } from '../config-port.ts'
import { messageOf } from '../errors.ts'
import { type DevicesFound, wiredDevices } from '../port/wired-devices.ts'

/** What the server asks of the wiring for setting up a meter; it writes the file, it never reads a port. */

export const wiringFile = configFile

/** Faults of a text as the wiring of this home, each with key, line, value and requirement; empty when it can be used. */
export const wiringFaults = (text: string, home: string): readonly string[] => {
  const checked = checkConfigText(text, home)
  return checked.ok ? [] : checked.faults
}

export interface WiredPort {
  readonly port: string
  readonly kind: PortConfig['source']['kind']
  /** Device, address or file, in words. */
  readonly where: string
  readonly instruments: readonly string[]
}

export interface Wired extends DevicesFound {
  readonly ports: readonly WiredPort[]
  /** Why the wiring cannot be read; the devices are there all the same. */
  readonly fault: string | null
}

/** Devices of this machine and ports of the wiring, and which belong together. */
export const wiredOf = (home: string): Wired => {
  const { ports, fault } = portsOf(home)
  return {
    ...wiredDevices(ports),
    ports: ports.map(({ name, source, instruments }) => ({
      port: name,
      kind: source.kind,
      where: whereOf(source),
      instruments: instruments.map((i) => i.instrument),
    })),
    fault,
  }
}

/** A faulty file must not keep anybody from finding out what is plugged in. */
export const portsOf = (
  home: string,
): { readonly ports: readonly PortConfig[]; readonly fault: string | null } => {
  if (!existsSync(configFile(home))) return { ports: [], fault: null }
  try {
    return { ports: readIngestConfig(home).ports, fault: null }
  } catch (error) {
    return { ports: [], fault: messageOf(error) }
  }
}

const whereOf = (source: PortConfig['source']): string => {
  switch (source.kind) {
    case 'tcp':
      return `${source.host}:${source.port}`
    case 'replay':
      return source.file
    case 'serial': {
      const { identity } = source.settings
      if (identity.by === 'path') return identity.path
      return `USB adapter ${identity.vendor}:${identity.product}${identity.serial ? ` serial ${identity.serial}` : ''}`
    }
  }
}
