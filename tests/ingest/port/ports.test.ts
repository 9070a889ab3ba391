import { createServer } from 'node:net'
import { resolve } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { createPipeline } from '../../../ingest/pipeline.ts'
import type { Port, PortListener } from '../../../ingest/port/port.ts'
import { replayPort } from '../../../ingest/port/replay-port.ts'
import { serialPort } from '../../../ingest/port/serial-port.ts'
import { tcpPort } from '../../../ingest/port/tcp-port.ts'
import { toCanonical } from '../../../ingest/reading/unit-conversion.ts'
import { timeUs } from '../../../ingest/units.ts'

/** Opens a port and gathers what it tells until it closes. */
const listen = async (port: Port) => {
  const heard = { bytes: Buffer.alloc(0), why: undefined as string | undefined }
  let ended: () => void = () => {}
  const closed = new Promise<void>((done) => {
    ended = done
  })
  const listener: PortListener = {
    data: (chunk) => {
      heard.bytes = Buffer.concat([heard.bytes, chunk])
    },
    closed: (why) => {
      heard.why = why
      ended()
    },
  }
  const open = await port.open(listener)
  return { heard, closed, open }
}

const server = (onSocket: (socket: import('node:net').Socket) => void): Promise<number> =>
  new Promise((ready) => {
    const listening = createServer(onSocket).listen(0, '127.0.0.1', () => {
      const address = listening.address()
      ready(typeof address === 'object' && address ? address.port : 0)
    })
    onTestFinished(() => void listening.close())
  })

describe('a TCP port', () => {
  it('hands over the bytes and says when the other side hangs up', async () => {
    const port = await server((socket) => socket.end('18.2\n'))
    const { heard, closed } = await listen(tcpPort('net', { host: '127.0.0.1', port }))
    await closed
    expect(heard).toMatchObject({ why: 'the other side closed the connection' })
    expect(heard.bytes.toString()).toBe('18.2\n')
  })

  it('that is refused says what to check', async () => {
    const port = await server(() => {})
    const gone = tcpPort('net', { host: '127.0.0.1', port: port === 65_535 ? 1 : port + 1 })
    await expect(gone.open({ data: () => {}, closed: () => {} })).rejects.toThrow(
      /did not open: connect ECONNREFUSED.*check address/,
    )
  })
})

describe('a serial port', () => {
  it('that is not there says so, and how to see what is', async () => {
    const settings = {
      identity: { by: 'path', path: '/dev/there-is-no-such-port' },
      baud: 9600,
      dataBits: 8,
      parity: 'none',
      stopBits: 1,
    } as const
    await expect(serialPort('meter', settings).open({ data: () => {}, closed: () => {} })).rejects.toThrow(
      /is not there: plug the adapter in, or run "spargewatch ports"/,
    )
  })
})

describe('a replayed capture', () => {
  const file = resolve(import.meta.dirname, '../../../fixtures/captures/line-meter.txt')

  it('gives the readings of the wire, the noise as a discard and the fault as a fault', async () => {
    const pipeline = createPipeline({
      speaks: 'line',
      format: { delimiter: '\r\n', maxBytes: 128, checksum: 'xor', startsInSync: true },
      instruments: [
        {
          instrument: 'm',
          bench: 'A',
          separator: ',',
          startsWith: 'SPGW',
          fieldCount: 6,
          intervalS: 1,
          channels: [
            {
              channel: 'dissolved-ozone',
              field: 2,
              unit: 'ug/mL',
              convert: toCanonical('dissolved-ozone', 'ug/mL') ?? Number,
              limits: { range: [-2, 300] },
            },
          ],
        },
      ],
    })
    const { heard, closed } = await listen(replayPort('capture', { file, speed: 1000 }))
    await closed
    expect(heard.why).toBe('the capture has ended')
    const outcome = pipeline.push(heard.bytes, { timeUs: timeUs(0), monoMs: 0, bootId: 'b' })
    expect(outcome.readings.map((r) => r.value)).toEqual([23.4, 23.38, 23.41, 23.35, null, 23.36])
    expect(outcome.readings.map((r) => r.quality)).toEqual(['good', 'good', 'good', 'good', 'fault', 'good'])
    expect(outcome.discarded.map((d) => d.why)).toEqual(['not-text'])
  })

  it('keeps the time of the capture, at its speed', async () => {
    const { closed } = await listen(replayPort('capture', { file, speed: 20 }))
    const start = performance.now()
    await closed
    // 5 s at 20x is 250 ms; the upper limit only catches a speed that is not applied
    expect(performance.now() - start).toBeGreaterThan(200)
    expect(performance.now() - start).toBeLessThan(4000)
  })

  it('that cannot be read names the file or the line', async () => {
    await expect(listen(replayPort('x', { file: 'there/is/none', speed: 1 }))).rejects.toThrow(
      /there\/is\/none cannot be played/,
    )
    await expect(
      listen(replayPort('x', { file: resolve(import.meta.dirname, '../../../LICENSE'), speed: 1 })),
    ).rejects.toThrow(/line 1 needs "seconds hex-bytes"/)
  })
})
