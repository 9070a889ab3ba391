import { SerialPort } from 'serialport'
import { IngestError } from '../errors.ts'
import { explainOpenFailure } from './explain-open-failure.ts'
import { findDevice, type SerialIdentity } from './find-serial.ts'
import type { Port } from './port.ts'

export interface SerialSettings {
  readonly identity: SerialIdentity
  readonly baud: number
  readonly dataBits: 5 | 6 | 7 | 8
  readonly parity: 'none' | 'even' | 'odd'
  readonly stopBits: 1 | 1.5 | 2
}

const GONE = 'the device went away'

/** The system's own words ("bad file descriptor") tell a person nothing by themselves. */
const gone = (error: Error): string => `${GONE} or failed (${error.message})`

/**
 * A serial port. The device is looked up at every opening, so the same adapter is found again under another
 * tty name. A `data` listener is always attached: without one the binding never reports a hang-up.
 */
export const serialPort = (name: string, settings: SerialSettings): Port => ({
  name,
  open: (listener) =>
    new Promise((resolve, reject) => {
      const device = findDevice(settings.identity)
      if (!device.found) return reject(new IngestError('port-failed', device.why))
      const { baud: baudRate, dataBits, parity, stopBits } = settings
      const port = new SerialPort({
        path: device.path,
        baudRate,
        dataBits,
        parity,
        stopBits,
        autoOpen: false,
      })
      let opened = false
      let why = GONE
      port.on('data', listener.data)
      port.on('error', (error) => {
        why = gone(error)
        if (opened && port.isOpen) port.close()
      })
      port.on('close', (error: Error | null) => listener.closed(error ? gone(error) : why))
      port.open((error) => {
        if (error)
          return reject(new IngestError('port-failed', explainOpenFailure(device.path, error), {}, error))
        opened = true
        resolve({
          write: (bytes) => void (port.isOpen && port.write(Buffer.from(bytes))),
          close: () => port.isOpen && port.close(),
        })
      })
    }),
})
