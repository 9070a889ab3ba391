import type { Command } from 'commander'
import { listSerialDevices } from '../../ingest/port/find-serial.ts'

export const registerPorts = (program: Command): void => {
  program
    .command('ports')
    .description('list serial devices with their stable names')
    .option('--json', 'as JSON')
    .action(({ json }: { json?: boolean }) => {
      const devices = listSerialDevices()
      if (json) return void console.log(JSON.stringify(devices, null, 2))
      if (devices.length === 0)
        return void console.log('No serial device found. Plug the adapter in and run this again.')
      for (const d of devices) {
        console.log(d.path)
        if (d.vendor)
          console.log(
            `  usb: { vendor: "${d.vendor}", product: "${d.product}"${d.serial ? `, serial: "${d.serial}"` : ''} }${d.description ? `   # ${d.description}` : ''}`,
          )
        if (d.byId) console.log(`  by what it is:      ${d.byId}`)
        if (d.byPath) console.log(`  by where it sits:   ${d.byPath}`)
        if (d.vendor && !d.serial)
          console.log('  no serial number: told apart by its USB socket only, keep the cable in that socket')
      }
    })
}
