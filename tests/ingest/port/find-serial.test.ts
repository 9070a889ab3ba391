import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { explainOpenFailure } from '../../../ingest/port/explain-open-failure.ts'
import { findDevice, listSerialDevices } from '../../../ingest/port/find-serial.ts'
import { machineWith } from '../../support/usb-machine.ts'

describe('serial devices', () => {
  it('are listed with what the adapter says of itself and both stable names', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', vendor: '0403', product: '6001', serial: 'A1', socket: '1-2' },
    ])
    expect(listSerialDevices(root)).toEqual([
      {
        path: join(root, 'dev/ttyUSB0'),
        vendor: '0403',
        product: '6001',
        serial: 'A1',
        description: null,
        byId: join(root, 'dev/serial/by-id/usb-A1'),
        byPath: join(root, 'dev/serial/by-path/usb-1-2'),
      },
    ])
  })

  it('are found again under another name by vendor, product and serial number', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', vendor: '0403', product: '6001', serial: 'B2', socket: '1-1' },
      { tty: 'ttyUSB7', vendor: '0403', product: '6001', serial: 'A1', socket: '1-2' },
    ])
    const found = findDevice({ by: 'usb', vendor: '0403', product: '6001', serial: 'A1' }, () =>
      listSerialDevices(root),
    )
    expect(found).toEqual({ found: true, path: join(root, 'dev/ttyUSB7') })
  })

  it('that nothing tells apart stay closed, and the message says to name the socket', () => {
    const root = machineWith([
      { tty: 'ttyUSB0', vendor: '1a86', product: '7523', socket: '1-1' },
      { tty: 'ttyUSB1', vendor: '1a86', product: '7523', socket: '1-2' },
    ])
    const found = findDevice({ by: 'usb', vendor: '1a86', product: '7523' }, () => listSerialDevices(root))
    expect(found).toMatchObject({ found: false, why: expect.stringContaining('by-path') })
  })

  it('that are not there are said to be unplugged', () => {
    expect(findDevice({ by: 'usb', vendor: '0403', product: '6001' }, () => [])).toEqual({
      found: false,
      why: 'USB adapter 0403:6001 is not plugged in',
    })
  })

  it('that may not be opened say which group to join', () => {
    const said = explainOpenFailure('/dev/null', new Error('Error: Permission denied, cannot open /dev/null'))
    expect(said).toMatch(/usermod -aG \w+ \w+/)
  })
})
