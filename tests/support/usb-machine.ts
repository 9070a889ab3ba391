import { existsSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { temporaryFolder } from './temporary-folder.ts'

/** A file tree laid out as the Linux kernel lays out USB serial adapters. */
export const machineWith = (
  adapters: readonly { tty: string; vendor: string; product: string; serial?: string; socket: string }[],
): string => {
  const root = temporaryFolder()
  for (const folder of ['dev/serial/by-id', 'dev/serial/by-path', 'sys/class/tty'])
    mkdirSync(join(root, folder), { recursive: true })
  for (const { tty, vendor, product, serial, socket } of adapters) {
    const usb = join(root, 'sys/devices/usb1', socket)
    mkdirSync(join(usb, `${socket}:1.0`, tty), { recursive: true })
    writeFileSync(join(usb, 'idVendor'), `${vendor}\n`)
    writeFileSync(join(usb, 'idProduct'), `${product}\n`)
    if (serial) writeFileSync(join(usb, 'serial'), `${serial}\n`)
    mkdirSync(join(root, 'sys/class/tty', tty))
    symlinkSync(join(usb, `${socket}:1.0`, tty), join(root, 'sys/class/tty', tty, 'device'))
    writeFileSync(join(usb, `${socket}:1.0`, tty, 'x'), '')
    writeFileSync(join(root, 'dev', tty), '')
    symlinkSync(join(root, 'dev', tty), join(root, 'dev/serial/by-path', `usb-${socket}`))
    // two of the same number claim the same name; one of them has it
    const byId = join(root, 'dev/serial/by-id', `usb-${serial}`)
    if (serial && !existsSync(byId)) symlinkSync(join(root, 'dev', tty), byId)
  }
  return root
}
