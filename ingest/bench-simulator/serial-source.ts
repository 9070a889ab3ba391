import { SerialPort } from 'serialport'
import type { LiveBench } from './live-bench.ts'
import { SimulatorError } from './simulator-error.ts'
import { wireLine } from './wire-line.ts'

/** A serial line has no memory: when this much waits, new lines are lost, as on a real cable. */
const MAX_WAITING_BYTES = 4096

export interface PtyBenchOptions {
  /** An existing serial device or pseudo-terminal. */
  readonly path: string
  readonly baudRate?: number
  readonly bench: LiveBench
  /** The device went away; no more lines are written. */
  readonly onLost?: (why: string) => void
}

export interface PtyBench {
  readonly path: string
  /** Lines lost because nobody took them at the other end. */
  lostLines(): number
  close(): Promise<void>
}

/** The meter on a serial cable. */
export const startPtyBench = async ({
  path,
  baudRate = 9600,
  bench,
  onLost,
}: PtyBenchOptions): Promise<PtyBench> => {
  const port = new SerialPort({ path, baudRate, autoOpen: false })
  await opened(port, path)
  let lostLines = 0
  // Without a reader the port never reports a hang-up.
  port.on('data', () => {})
  port.on('error', (error) => onLost?.(error.message))
  const unsubscribe = bench.onSample((sample, sequence) => {
    const line = wireLine(sample, sequence)
    if (port.writableLength + line.length > MAX_WAITING_BYTES) lostLines++
    else port.write(line, 'latin1')
  })
  port.on('close', (error: Error | null) => {
    unsubscribe()
    if (error !== null && error !== undefined) onLost?.(error.message)
  })
  return { path, lostLines: () => lostLines, close: () => closed(port, unsubscribe) }
}

const opened = (port: SerialPort, path: string): Promise<void> =>
  new Promise((resolve, reject) => {
    port.open((cause) => {
      if (cause === null) resolve()
      else reject(new SimulatorError('port', [`cannot open ${path}: ${cause.message}`], { cause }))
    })
  })

const closed = (port: SerialPort, unsubscribe: () => void): Promise<void> =>
  new Promise((resolve) => {
    unsubscribe()
    if (port.isOpen) port.close(() => resolve())
    else resolve()
  })
