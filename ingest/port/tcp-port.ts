import { connect } from 'node:net'
import { IngestError } from '../errors.ts'
import type { Port } from './port.ts'

export interface TcpPortSettings {
  readonly host: string
  readonly port: number
}

const CONNECT_TIMEOUT_MS = 5000
const KEEP_ALIVE_MS = 5000

/** Raw serial bytes from a device server on the network. Half-open sockets are found by keep-alive and silence. */
export const tcpPort = (name: string, settings: TcpPortSettings): Port => ({
  name,
  open: (listener) =>
    new Promise((resolve, reject) => {
      const socket = connect({ ...settings, keepAlive: true, keepAliveInitialDelay: KEEP_ALIVE_MS })
      let why = 'the other side closed the connection'
      let opened = false
      const timeout = setTimeout(
        () => socket.destroy(new Error(`no answer in ${CONNECT_TIMEOUT_MS / 1000} s`)),
        CONNECT_TIMEOUT_MS,
      )
      socket.once('connect', () => {
        clearTimeout(timeout)
        opened = true
        socket.setNoDelay(true)
        resolve({
          write: (bytes) => void (socket.writable && socket.write(bytes)),
          close: () => socket.destroy(),
        })
      })
      socket.on('data', listener.data)
      socket.on('error', (error) => {
        why = error.message
      })
      socket.once('close', () => {
        clearTimeout(timeout)
        if (opened) listener.closed(why)
        else
          reject(
            new IngestError(
              'port-failed',
              `${settings.host}:${settings.port} did not open: ${why}; check address, cable and that the device server is on`,
            ),
          )
      })
    }),
})
