import { z } from 'zod'
import { deliveryFaults, looseDelivery } from './config-delivery-faults.ts'
import { type ReferenceFault, repeated, under } from './config-fault.ts'
import {
  askFaults,
  instrumentFaults,
  type LooseInstrument,
  looseInstrument,
  portFaults,
} from './config-instruments.ts'

const loosePort = z
  .looseObject({
    kind: z.string().catch(''),
    frame: z.looseObject({ kind: z.string().catch('line') }).catch({ kind: 'line' }),
  })
  .catch({ kind: '', frame: { kind: 'line' } })

/** Only what the references need, and forgiving about the rest: faults elsewhere must not hide faults here. */
const loose = z.looseObject({
  site: z.looseObject({ simulated: z.boolean().catch(false) }).catch({ simulated: false }),
  benches: z
    .array(
      z
        .looseObject({ id: z.string().catch(''), simulated: z.boolean().catch(false) })
        .catch({ id: '', simulated: false }),
    )
    .catch([]),
  ports: z.record(z.string(), loosePort).catch({}),
  instruments: z.array(looseInstrument).catch([]),
  delivery: looseDelivery,
})

type Loose = z.infer<typeof loose>

/** Names that point at nothing, units that do not fit, the same thing said twice: all of them, not the first. */
export const referenceFaults = (raw: unknown): ReferenceFault[] => {
  const parsed = loose.safeParse(raw)
  if (!parsed.success) return []
  const file = parsed.data
  return [
    ...repeated(file.benches.map((b) => b.id)).map((i) => ({
      path: ['benches', i, 'id'],
      message: 'needs a name no other bench has',
    })),
    ...repeated(file.instruments.map((i) => i.id)).map((i) => ({
      path: ['instruments', i, 'id'],
      message: 'needs a name no other instrument has',
    })),
    ...file.instruments.flatMap((instrument, i) => [
      ...pointers(instrument, file).map((fault) => ({ ...fault, path: ['instruments', i, ...fault.path] })),
      ...instrumentFaults(instrument, file.ports[instrument.port ?? '']).map((fault) => ({
        ...fault,
        path: ['instruments', i, ...fault.path],
      })),
    ]),
    ...askFaults(file.instruments),
    ...Object.entries(file.ports).flatMap(([name, port]) => portFaults(name, port)),
    ...under(['delivery'], deliveryFaults(file.delivery)),
  ]
}

const pointers = ({ port, bench }: LooseInstrument, file: Loose): ReferenceFault[] => {
  const benches = file.benches.map((b) => b.id)
  const replayed = port !== undefined && file.ports[port]?.kind === 'replay'
  const isSimulated = file.site.simulated || file.benches.find((b) => b.id === bench)?.simulated
  return [
    ...(port !== undefined && !(port in file.ports)
      ? [
          {
            path: ['port'],
            message: `needs one of the ports: ${Object.keys(file.ports).join(', ') || '(none)'}`,
          },
        ]
      : []),
    ...(bench !== undefined && !benches.includes(bench)
      ? [{ path: ['bench'], message: `needs one of the benches: ${benches.join(', ')}` }]
      : []),
    ...(replayed && !isSimulated
      ? [
          {
            path: ['bench'],
            message: 'needs a bench with simulated: true, because its port replays a capture',
          },
        ]
      : []),
  ]
}
