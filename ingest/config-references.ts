import { z } from 'zod'
import { CHANNELS } from './reading/reading.ts'
import { acceptedUnits, toCanonical } from './reading/unit-conversion.ts'

export interface ReferenceFault {
  readonly path: readonly (string | number)[]
  readonly message: string
}

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
  ports: z.record(z.string(), z.looseObject({ kind: z.string().catch('') }).catch({ kind: '' })).catch({}),
  instruments: z
    .array(
      z
        .looseObject({
          id: z.string().optional().catch(undefined),
          port: z.string().optional().catch(undefined),
          bench: z.string().optional().catch(undefined),
          field_count: z.number().optional().catch(undefined),
          channels: z
            .array(
              z
                .looseObject({
                  channel: z.enum(CHANNELS).optional().catch(undefined),
                  unit: z.string().optional().catch(undefined),
                  field: z.number().optional().catch(undefined),
                })
                .catch({}),
            )
            .catch([]),
        })
        .catch({ channels: [] }),
    )
    .catch([]),
})

type Loose = z.infer<typeof loose>
type LooseInstrument = Loose['instruments'][number]

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
      ...channelFaults(instrument).map((fault) => ({
        ...fault,
        path: ['instruments', i, 'channels', ...fault.path],
      })),
    ]),
  ]
}

const repeated = (names: readonly (string | undefined)[]): number[] =>
  names.flatMap((name, i) => (name !== undefined && name !== '' && names.indexOf(name) !== i ? [i] : []))

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

const channelFaults = ({ channels, field_count: fieldCount }: LooseInstrument): ReferenceFault[] => [
  ...repeated(channels.map((c) => c.channel)).map((j) => ({
    path: [j, 'channel'],
    message: 'needs each channel once per instrument',
  })),
  ...channels.flatMap(({ channel, unit, field }, j) => [
    ...(channel && unit !== undefined && !toCanonical(channel, unit)
      ? [{ path: [j, 'unit'], message: `needs one of ${acceptedUnits(channel).join(', ')} for ${channel}` }]
      : []),
    ...(fieldCount !== undefined && field !== undefined && field >= fieldCount
      ? [
          {
            path: [j, 'field'],
            message: `needs a field below field_count ${fieldCount}; the first field is 0`,
          },
        ]
      : []),
  ]),
]
