import { readdirSync, readFileSync, realpathSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'

/** How the config names a serial device: by path, or by what the USB adapter says of itself. */
export type SerialIdentity =
  | { readonly by: 'path'; readonly path: string }
  | {
      readonly by: 'usb'
      readonly vendor: string
      readonly product: string
      readonly serial?: string | undefined
    }

export interface SerialDevice {
  readonly path: string
  readonly vendor: string | null
  readonly product: string | null
  readonly serial: string | null
  readonly description: string | null
  /** Stable names: by what the adapter is, and by the socket it is plugged into. */
  readonly byId: string | null
  readonly byPath: string | null
}

export type FoundDevice =
  | { readonly found: true; readonly path: string }
  | { readonly found: false; readonly why: string }

/**
 * Serial devices of this machine, from `/sys/class/tty` and the stable links under `/dev/serial` (the
 * serialport package's own listing needs `udevadm`, often absent). `root` is for tests.
 */
export const listSerialDevices = (root = '/'): SerialDevice[] => {
  const byId = linksIn(join(root, 'dev/serial/by-id'))
  const byPath = linksIn(join(root, 'dev/serial/by-path'))
  const names = new Set([...ttysWithHardware(root), ...byId.keys(), ...byPath.keys()])
  return [...names].sort().map((name) => ({
    path: join(root, 'dev', name),
    ...usbOf(root, name),
    byId: byId.get(name) ?? null,
    byPath: byPath.get(name) ?? null,
  }))
}

export const findDevice = (identity: SerialIdentity, devices = () => listSerialDevices()): FoundDevice => {
  if (identity.by === 'path') return { found: true, path: identity.path }
  const alike = devices().filter(
    (d) =>
      d.vendor === identity.vendor.toLowerCase() &&
      d.product === identity.product.toLowerCase() &&
      (identity.serial === undefined || d.serial === identity.serial),
  )
  const [first, second] = alike
  const wanted = `USB adapter ${identity.vendor}:${identity.product}${identity.serial ? ` serial ${identity.serial}` : ''}`
  if (!first) return { found: false, why: `${wanted} is not plugged in` }
  if (second)
    return {
      found: false,
      why: `${wanted} is there ${alike.length} times and nothing tells them apart: name the socket instead (device: ${first.byPath ?? 'its path under /dev/serial/by-path'}) and keep the cable in it`,
    }
  return { found: true, path: first.path }
}

/** Name of the device behind each link, with the link's own path. */
const linksIn = (folder: string): Map<string, string> => {
  const links = new Map<string, string>()
  for (const name of listing(folder)) {
    try {
      links.set(basename(realpathSync(join(folder, name))), join(folder, name))
    } catch {
      // a dangling link: the device has just gone
    }
  }
  return links
}

const ttysWithHardware = (root: string): string[] =>
  listing(join(root, 'sys/class/tty')).filter(
    (name) => /^tty(USB|ACM|AMA|S|O|mxc|SAC|THS)\d+$/.test(name) && isReal(root, name),
  )

/** The kernel lists 8250 ports that do not exist; they have type 0. */
const isReal = (root: string, name: string): boolean => {
  if (!name.startsWith('ttyS')) return listing(join(root, 'sys/class/tty', name, 'device')).length > 0
  const type = text(join(root, 'sys/class/tty', name, 'type'))
  return type !== null && type !== '0'
}

const usbOf = (
  root: string,
  name: string,
): Pick<SerialDevice, 'vendor' | 'product' | 'serial' | 'description'> => {
  const none = { vendor: null, product: null, serial: null, description: null }
  let folder: string
  try {
    folder = realpathSync(join(root, 'sys/class/tty', name, 'device'))
  } catch {
    return none
  }
  for (let up = 0; up < 4; up++, folder = dirname(folder)) {
    const vendor = text(join(folder, 'idVendor'))
    if (vendor === null) continue
    return {
      vendor: vendor.toLowerCase(),
      product: text(join(folder, 'idProduct'))?.toLowerCase() ?? null,
      serial: text(join(folder, 'serial')),
      description: text(join(folder, 'product')),
    }
  }
  return none
}

const listing = (folder: string): string[] => {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}

const text = (file: string): string | null => {
  try {
    return readFileSync(file, 'utf8').trim()
  } catch {
    return null
  }
}
