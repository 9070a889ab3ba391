import { z } from 'zod'
import { fault, notHere, type ReferenceFault } from './config-fault.ts'
import { groupsOf } from './config-pattern.ts'
import { CHANNELS, type Channel } from './reading/reading.ts'
import { acceptedUnits, toCanonical } from './reading/unit-conversion.ts'

const number = z.number().optional().catch(undefined)
const text = z.string().optional().catch(undefined)

export const looseChannel = z
  .looseObject({
    channel: z.enum(CHANNELS).optional().catch(undefined),
    unit: text,
    field: number,
    group: text,
    register: number,
    at_4ma: number,
    at_20ma: number,
  })
  .catch({})

export type LooseChannel = z.infer<typeof looseChannel>

/** What a channel takes from its instrument. */
interface Of {
  readonly pattern?: string | undefined
  readonly field_count?: number | undefined
  readonly wire_addresses?: boolean | undefined
}

/** What a channel needs, or may not have, for what its port speaks; undefined while the port is not known. */
export const channelFaults = (
  channel: LooseChannel,
  of: Of,
  speaks: string | undefined,
): ReferenceFault[] => [
  ...(channel.channel && channel.unit !== undefined
    ? unitFaults(channel, channel.channel, channel.unit)
    : []),
  ...(speaks === 'line' ? placeFaults(channel, of) : []),
  ...(speaks === 'modbus-rtu' ? registerFaults(channel, of) : []),
]

const unitFaults = (given: LooseChannel, channel: Channel, unit: string): ReferenceFault[] => {
  if (unit === 'mA') return currentFaults(given)
  const spans = notHere(given, ['at_4ma', 'at_20ma'], 'needs unit: mA, the unit of a current')
  if (unit === 'ohm' && channel === 'fluid-temperature') return spans
  if (toCanonical(channel, unit)) return spans
  const units = [...acceptedUnits(channel), 'mA', ...(channel === 'fluid-temperature' ? ['ohm'] : [])]
  return [fault(['unit'], `needs one of ${units.join(', ')} for ${channel}`), ...spans]
}

const currentFaults = (given: LooseChannel): ReferenceFault[] => [
  ...(['at_4ma', 'at_20ma'] as const)
    .filter((key) => given[key] === undefined)
    .map((key) => fault([key], 'needs the measured value at this current, in the unit that is stored')),
  ...(given.at_4ma !== undefined && given.at_20ma !== undefined && given.at_20ma <= given.at_4ma
    ? [fault(['at_20ma'], `needs a number above at_4ma ${given.at_4ma}`)]
    : []),
  ...notHere(given, ['full_scale'], 'needs to go: full scale of a current is at_20ma'),
]

const REGISTER_KEYS = ['register', 'table', 'type', 'order']

/** Where in a line the number stands: one way to say it, and one that fits the instrument. */
const placeFaults = (given: LooseChannel, { pattern, field_count: fieldCount }: Of): ReferenceFault[] => {
  const strangers = notHere(
    given,
    REGISTER_KEYS,
    'needs a port with frame: { kind: modbus-rtu }; this one speaks lines',
  )
  if (pattern !== undefined) return [...strangers, ...groupFaults(given, pattern)]
  const { field } = given
  const isSaidOnce = (field === undefined) !== (given['key'] === undefined)
  return [
    ...strangers,
    ...notHere(given, ['group'], 'needs pattern, with a group of this name, at its instrument'),
    ...(isSaidOnce || given.group !== undefined
      ? []
      : [
          fault(
            ['field'],
            'needs either field (position in the line, the first is 0) or key (name before =)',
          ),
        ]),
    ...(fieldCount !== undefined && field !== undefined && field >= fieldCount
      ? [fault(['field'], `needs a field below field_count ${fieldCount}; the first field is 0`)]
      : []),
  ]
}

const groupFaults = (given: LooseChannel, pattern: string): ReferenceFault[] => {
  const groups = groupsOf(pattern)
  const others = notHere(given, ['field', 'key'], 'needs to go: with pattern a channel has a group')
  if ('why' in groups || (given.group !== undefined && groups.names.includes(given.group))) return others
  const choice = groups.names.length > 0 ? `: ${groups.names.join(', ')}` : ', which has none yet'
  return [...others, fault(['group'], `needs a named group of pattern, written (?P<name>...)${choice}`)]
}

const registerFaults = (given: LooseChannel, { wire_addresses: areWire }: Of): ReferenceFault[] => [
  ...notHere(
    given,
    ['field', 'key', 'group'],
    'needs to go: it is for lines, and this port speaks modbus-rtu',
  ),
  ...(given['register'] === undefined
    ? [fault(['register'], 'needs the wire address of the register, counted from 0')]
    : []),
  ...(given['type'] === undefined
    ? [fault(['type'], 'needs int16, uint16, int32, uint32 or float32, as the manual of the meter says')]
    : []),
  ...(given.register !== undefined && !areWire ? documentationNumber(given.register) : []),
]

/** Manuals count registers from 1 and put the table in front: 3xxxx is input, 4xxxx is holding. */
const documentationNumber = (number: number): ReferenceFault[] => {
  const found = /^([34])(?=\d{4,5}$)0*([1-9]\d*)$/.exec(String(number))
  if (!found) return []
  const table = found[1] === '4' ? 'holding' : 'input'
  return [
    fault(
      ['register'],
      `needs a wire address, counted from 0: the documentation number ${number} is table: ${table}, register: ${Number(found[2]) - 1}; if ${number} really is the address on the wire, say wire_addresses: true at the instrument`,
    ),
  ]
}
