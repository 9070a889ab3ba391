import type { PortsFound, WiringFile } from '../../server/wire.ts'

type Device = PortsFound['devices'][number]

const device = (path: string, more: Partial<Device>): Device => ({
  path,
  description: 'USB serial adapter',
  vendor: '0403',
  product: '6001',
  serial: null,
  by_id: null,
  by_path: null,
  stable: null,
  socket_only: false,
  port: null,
  instruments: [],
  barred: null,
  ...more,
})

/** Every trap of serial adapters at once. */
export const FAKE_PORTS: PortsFound = {
  devices: [
    device('/dev/ttyUSB0', {
      serial: 'A1B2C3',
      stable: { by: 'usb', vendor: '0403', product: '6001', serial: 'A1B2C3' },
      port: 'meter-a',
      instruments: ['meter-a'],
    }),
    device('/dev/ttyUSB1', {
      by_path: '/dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0-port0',
      stable: { by: 'path', path: '/dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0-port0' },
      socket_only: true,
      barred:
        '/dev/ttyUSB1 may not be opened by clinic: join the group that owns it: sudo usermod -aG dialout clinic, then sign out and in again',
    }),
    device('/dev/ttyUSB2', { description: null, vendor: null, product: null }),
  ],
  missing: [],
  ports: [
    {
      port: 'meter-a',
      kind: 'serial',
      where: '/dev/ttyUSB0',
      instruments: ['meter-a'],
      state: 'open',
      why: null,
    },
    {
      port: 'rack',
      kind: 'tcp',
      where: '192.0.2.7:4001',
      instruments: ['monitor'],
      state: 'waiting',
      why: 'connect ECONNREFUSED 192.0.2.7:4001',
    },
  ],
  user: 'clinic',
  listening: {
    possible: false,
    why: 'the logging program is not running, or not with this home folder: start it first',
  },
}

/** The demonstration: no wiring of the clinic's own yet. */
export const FAKE_WIRING: WiringFile = {
  file: '/home/clinic/spargewatch/data/spargewatch.yaml',
  version: null,
  demo: true,
  faults: [],
  benches: [],
  ports: {},
  instruments: [],
  channels: [
    { channel: 'dissolved-ozone', unit: 'mg/L', accepted: ['mg/L', 'ug/mL', 'mA'] },
    { channel: 'fluid-temperature', unit: '°C', accepted: ['C', 'F', 'mA', 'ohm'] },
  ],
}
