import type { PortConfig } from './config-port.ts'
import type { Port } from './port/port.ts'
import { replayPort } from './port/replay-port.ts'
import { serialPort } from './port/serial-port.ts'
import { tcpPort } from './port/tcp-port.ts'

/** The way to open what the wiring names. */
export const openerOf = ({ name, source }: Pick<PortConfig, 'name' | 'source'>): Port => {
  switch (source.kind) {
    case 'serial':
      return serialPort(name, source.settings)
    case 'tcp':
      return tcpPort(name, source)
    case 'replay':
      return replayPort(name, source)
  }
}
