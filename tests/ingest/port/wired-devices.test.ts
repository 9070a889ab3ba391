import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { PortConfig } from '../../../ingest/config-port.ts'
import { listSerialDevices, type SerialIdentity } from '../../../ingest/port/find-serial.ts'
import { wiredDevices } from '../../../ingest/port/wired-devices.ts'
import { machineWith } from '../../support/usb-machine.ts'

const port = (
  name: string,
  identity: SerialIdentity,
): Pick<PortConfig, 'name' | 'source' | 'instruments'> => ({
  name,
  source: {
    kind: 'serial',
    settings: { identity, baud: 9600, dataBits: 8, parity: 'none', stopBits: 1 },
  },
  instruments: [{ instrument: `${name}-meter`, bench: 'A', separator: ',', intervalS: 1, channels: [] }],
})
const ADAPTER = { vendor: '0403', product: '6001' }
const free = () => null

describe('wired devices', () => {
  it('are told with the port and instruments that hold them, by USB numbers as by path', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', ...ADAPTER, serial: 'A1', socket: '1-1' },
      { tty: 'ttyUSB1', ...ADAPTER, serial: 'B2', socket: '1-2' },
      { tty: 'ttyUSB2', ...ADAPTER, serial: 'C3', socket: '1-3' },
    ])
    const { devices, missing } = wiredDevices(
      [
        port('first', { by: 'usb', ...ADAPTER, serial: 'B2' }),
        port('second', { by: 'path', path: join(root, 'dev/serial/by-path/usb-1-3') }),
      ],
      () => listSerialDevices(root),
      free,
    )
    expect(devices.map((d) => [d.port, d.instruments])).toEqual([
      [null, []],
      ['first', ['first-meter']],
      ['second', ['second-meter']],
    ])
    expect(missing).toEqual([])
    expect(devices[0]).toMatchObject({
      stable: { by: 'usb', ...ADAPTER, serial: 'A1' },
      socketOnly: false,
      barred: null,
    })
  })

  it('without a serial number keep their name by the socket only', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', ...ADAPTER, socket: '1-1' },
      { tty: 'ttyUSB1', ...ADAPTER, socket: '1-2' },
    ])
    const { devices } = wiredDevices([], () => listSerialDevices(root), free)
    expect(devices.map((d) => [d.stable, d.socketOnly])).toEqual([
      [{ by: 'path', path: join(root, 'dev/serial/by-path/usb-1-1') }, true],
      [{ by: 'path', path: join(root, 'dev/serial/by-path/usb-1-2') }, true],
    ])
  })

  it('that two adapters with the same serial number claim are named by their sockets', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', ...ADAPTER, serial: '0001', socket: '1-1' },
      { tty: 'ttyUSB1', ...ADAPTER, serial: '0001', socket: '1-2' },
    ])
    const { devices } = wiredDevices([], () => listSerialDevices(root), free)
    expect(devices.map((d) => d.stable?.by)).toEqual(['path', 'path'])
  })

  it('that are not there, or cannot be told apart, are named with the reason', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', ...ADAPTER, socket: '1-1' },
      { tty: 'ttyUSB1', ...ADAPTER, socket: '1-2' },
    ])
    const { missing } = wiredDevices(
      [
        port('twins', { by: 'usb', ...ADAPTER }),
        port('gone', { by: 'path', path: join(root, 'dev/serial/by-id/nothing') }),
      ],
      () => listSerialDevices(root),
      free,
    )
    expect(missing).toMatchObject([
      { port: 'twins', instruments: ['twins-meter'], why: expect.stringContaining('is there 2 times') },
      { port: 'gone', why: expect.stringContaining('is not there') },
    ])
  })

  it('that may not be opened say so', () => {
    const root = machineWith([{ tty: 'ttyUSB0', ...ADAPTER, serial: 'A1', socket: '1-1' }])
    const { devices } = wiredDevices(
      [],
      () => listSerialDevices(root),
      () => 'join the group dialout',
    )
    expect(devices[0]?.barred).toBe('join the group dialout')
    expect(wiredDevices([], () => listSerialDevices(root)).devices[0]?.barred, 'this file is ours').toBeNull()
  })
})
