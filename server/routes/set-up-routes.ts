import { userInfo } from 'node:os'
import type { Response } from 'express'
import type { z } from 'zod'
import { CANONICAL_UNIT, CHANNELS } from '../../ingest/reading/reading.ts'
import { acceptedUnits } from '../../ingest/reading/unit-conversion.ts'
import { openTap } from '../../ingest/tap/tap-client.ts'
import type { TapEvent } from '../../ingest/tap/tap-event.ts'
import { readTapFile } from '../../ingest/tap/tap-file.ts'
import { tryMapping } from '../../ingest/tap/try-mapping.ts'
import { wiredOf } from '../../ingest/tap/wiring.ts'
import { messageOf, ServerError } from '../errors.ts'
import type { Service } from '../service.ts'
import { saveFaults, saveInstrument, wiringNow } from '../set-up/set-up.ts'
import {
  listenWanted,
  portsAnswer,
  tryAnswer,
  tryWanted,
  wiringAnswer,
  wiringChange,
  wiringChecked,
  wiringSaved,
  wiringWanted,
} from '../wire/set-up-schema.ts'
import type { PortsFound, WiringFile } from '../wire.ts'
import type { Route } from './route.ts'

export const setUpRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/ports',
    summary: 'Serial devices with names that stay the same, ports of the wiring, and who holds what',
    answer: portsAnswer,
    handle: () => portsView(service),
  },
  {
    method: 'post',
    path: '/api/ports/listen',
    summary:
      'What arrives at a port, live: one JSON object a line until either side leaves. Nothing of it is stored',
    body: listenWanted,
    answer: null,
    mediaType: 'application/x-ndjson',
    handle: ({ body }, response) =>
      listen(service.config.home, body as z.infer<typeof listenWanted>, response),
  },
  {
    method: 'post',
    path: '/api/ports/try',
    summary: 'What an instrument wired like this would make of frames that were heard. Stores nothing',
    body: tryWanted,
    answer: tryAnswer,
    handle: ({ body }) => {
      const { port, instrument, frames } = body as z.infer<typeof tryWanted>
      return tryMapping(port, instrument, frames)
    },
  },
  {
    method: 'get',
    path: '/api/wiring',
    summary: 'Ports and instruments as they stand in the wiring file',
    answer: wiringAnswer,
    handle: () => wiringView(service),
  },
  {
    method: 'post',
    path: '/api/wiring/check',
    summary: 'Every fault that the wiring would have with this instrument in it',
    body: wiringWanted,
    answer: wiringChecked,
    handle: ({ body }) => ({ faults: saveFaults(service.setUp, body as z.infer<typeof wiringWanted>) }),
  },
  {
    method: 'post',
    path: '/api/wiring',
    summary: 'Write an instrument and its port into the wiring file; comments and order stay',
    body: wiringChange,
    answer: wiringSaved,
    handle: ({ body }) => {
      const { expected, ...wanted } = body as z.infer<typeof wiringChange>
      const { path, ...saved } = saveInstrument(service.setUp, wanted, expected)
      return { file: path, ...saved, effect: service.setUp.demo ? 'next-start' : 'within-seconds' }
    },
  },
]

const portsView = ({ config, events }: Service): PortsFound => {
  const { devices, missing, ports } = wiredOf(config.home)
  const states = new Map(events.ports().map((p) => [p.port, p]))
  return {
    devices: devices.map(({ byId, byPath, socketOnly, ...device }) => ({
      ...device,
      by_id: byId,
      by_path: byPath,
      socket_only: socketOnly,
      instruments: [...device.instruments],
    })),
    missing: missing.map((m) => ({ ...m, instruments: [...m.instruments] })),
    ports: ports.map((p) => ({
      ...p,
      instruments: [...p.instruments],
      state: states.get(p.port)?.state ?? null,
      why: states.get(p.port)?.why ?? null,
    })),
    user: userInfo().username,
    listening: whetherListening(config.home),
  }
}

const whetherListening = (home: string): PortsFound['listening'] => {
  try {
    readTapFile(home)
    return { possible: true, why: null }
  } catch (error) {
    return { possible: false, why: messageOf(error) }
  }
}

const wiringView = ({ setUp }: Service): WiringFile => {
  const { path, version, file, faults } = wiringNow(setUp)
  return {
    file: path,
    version,
    demo: setUp.demo,
    faults: [...faults],
    benches: (file.benches ?? []).map((b) => ({ id: String(b['id']), name: String(b['name'] ?? b['id']) })),
    ports: { ...file.ports },
    instruments: [...(file.instruments ?? [])],
    channels: CHANNELS.map((channel) => ({
      channel,
      unit: CANONICAL_UNIT[channel],
      accepted: [...acceptedUnits(channel), 'mA', ...(channel === 'fluid-temperature' ? ['ohm'] : [])],
    })),
  }
}

/** Passes on what the daemon tells. A screen that does not keep up holds up only what is told to it. */
const listen = async (home: string, wanted: object, response: Response): Promise<void> => {
  const socket = await openTap(home, { ask: 'listen', ...wanted }).catch((error: unknown) => {
    throw new ServerError('not-available', messageOf(error), { cause: error })
  })
  response.once('close', () => socket.destroy())
  const first = await new Promise<Buffer>((resolve, reject) => {
    socket.once('data', resolve)
    socket.once('close', () =>
      reject(new ServerError('not-available', 'the logging program does not answer')),
    )
  })
  const why = refusalIn(first)
  if (why !== undefined) {
    socket.destroy()
    throw new ServerError('not-possible-now', why)
  }
  response.status(200).set({ 'content-type': 'application/x-ndjson', 'cache-control': 'no-store' })
  response.write(first)
  socket.pipe(response)
  socket.once('close', () => response.end())
}

const refusalIn = (first: Buffer): string | undefined => {
  const [line = ''] = first.toString('utf8').split('\n')
  const event = JSON.parse(line) as TapEvent
  return event.kind === 'refused' ? event.why : undefined
}
