import { accessSync, constants, realpathSync } from 'node:fs'
import type { PortConfig } from '../config-port.ts'
import { messageOf } from '../errors.ts'
import { explainOpenFailure } from './explain-open-failure.ts'
import { findDevice, listSerialDevices, type SerialDevice, type SerialIdentity } from './find-serial.ts'

/** A device with what the wiring has to do with it. */
export interface WiredDevice extends SerialDevice {
  /** Stays the same when the adapter is plugged in again; null where only the present name is known. */
  readonly stable: SerialIdentity | null
  /** Told apart by its USB socket only: the cable must stay in that socket. */
  readonly socketOnly: boolean
  readonly port: string | null
  readonly instruments: readonly string[]
  /** Why this user may not open it; null when nothing speaks against it. */
  readonly barred: string | null
}

/** A wired serial port whose device is not to be found, and why. */
export interface MissingDevice {
  readonly port: string
  readonly instruments: readonly string[]
  readonly why: string
}

export interface DevicesFound {
  readonly devices: readonly WiredDevice[]
  readonly missing: readonly MissingDevice[]
}

/** Serial devices of this machine, and which port of the wiring each belongs to. Opens none of them. */
export const wiredDevices = (
  ports: readonly Pick<PortConfig, 'name' | 'source' | 'instruments'>[],
  list: () => SerialDevice[] = listSerialDevices,
  barred: (path: string) => string | null = whyBarred,
): DevicesFound => {
  const devices = list()
  const wired = ports.flatMap((port) =>
    port.source.kind === 'serial' ? [{ port, at: placeOf(port.source.settings.identity, devices) }] : [],
  )
  return {
    devices: devices.map((device) => {
      const holder = wired.find(({ at }) => 'path' in at && at.path === real(device.path))?.port
      return {
        ...device,
        ...stableIdentity(device, devices),
        port: holder?.name ?? null,
        instruments: holder?.instruments.map((i) => i.instrument) ?? [],
        barred: barred(device.path),
      }
    }),
    missing: wired.flatMap(({ port, at }) =>
      'why' in at
        ? [{ port: port.name, instruments: port.instruments.map((i) => i.instrument), why: at.why }]
        : [],
    ),
  }
}

/** Ports on the board itself keep their number. */
const BUILT_IN = /\/tty(S|AMA|SAC|THS|O|mxc)\d+$/

/** By what the adapter says of itself where that is unique, else by its socket. */
const stableIdentity = (
  device: SerialDevice,
  all: readonly SerialDevice[],
): Pick<WiredDevice, 'stable' | 'socketOnly'> => {
  const { vendor, product, serial, byPath, byId } = device
  const isAlike = (d: SerialDevice) => d.vendor === vendor && d.product === product && d.serial === serial
  if (vendor && product && serial && all.filter(isAlike).length === 1)
    return { stable: { by: 'usb', vendor, product, serial }, socketOnly: false }
  if (byPath) return { stable: { by: 'path', path: byPath }, socketOnly: vendor !== null }
  if (vendor && product && all.filter(isAlike).length === 1)
    return { stable: { by: 'usb', vendor, product }, socketOnly: true }
  if (BUILT_IN.test(device.path)) return { stable: { by: 'path', path: device.path }, socketOnly: false }
  return { stable: byId === null ? null : { by: 'path', path: byId }, socketOnly: vendor !== null }
}

const placeOf = (identity: SerialIdentity, devices: SerialDevice[]) => {
  const found = findDevice(identity, () => devices)
  if (!found.found) return { why: found.why }
  try {
    return { path: realpathSync(found.path) }
  } catch {
    return { why: `${found.path} is not there` }
  }
}

const real = (path: string): string => {
  try {
    return realpathSync(path)
  } catch {
    return path
  }
}

/** Asks the file's rights only: opening it would move control lines that some meters listen to. */
const whyBarred = (path: string): string | null => {
  try {
    accessSync(path, constants.R_OK | constants.W_OK)
    return null
  } catch (error) {
    return explainOpenFailure(path, error instanceof Error ? error : new Error(messageOf(error)))
  }
}
