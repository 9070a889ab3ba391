import type { AlarmRule, AlarmView } from './alarm.ts'
import type { Limits } from './limits.ts'
import type { RoomOzoneSeen } from './room-ozone-seen.ts'

/** What is said wherever the air may not be breathed; local rules come on top of it. */
const GET_OUT =
  'Ozone off. Everyone out. Ventilate. Do not go back before a working monitor shows the air is under the limit. Your local rules say who decides.'

const CEILING = {
  ceiling_ppm: {
    value: 0.1,
    unit: 'ppm',
    least: 0.01,
    most: 0.3,
    words: 'not to be exceeded at any time, mean of 60 s',
    source: 'NIOSH REL 0.1 ppm, ceiling',
  },
} as const

const EIGHT_HOURS = {
  average_ppm: {
    value: 0.05,
    unit: 'ppm',
    least: 0.005,
    most: 0.2,
    words: 'average of eight hours',
    source: 'ACGIH TLV-TWA 0.05 ppm (heavy work), the lowest workplace value; OSHA PEL is 0.1 ppm',
  },
} as const
const DEADBAND = 0.9

const rule = <L extends Limits>(
  own: Pick<AlarmRule<AlarmView, L>, 'name' | 'limits' | 'text'>,
  seen: (room: RoomOzoneSeen) => number | null,
  limit: (limits: { readonly [Name in keyof L]: number }) => number,
): AlarmRule<AlarmView, L> => ({
  ...own,
  // the mean over a minute is the delay; nobody waits longer for this one
  delays: () => ({ onDelayMs: 0, offDelayMs: 60_000 }),
  neverSilenced: true,
  condition: ({ room }, limits) => {
    const ppm = room && seen(room)
    if (ppm === null) return 'unknown'
    if (ppm >= limit(limits)) return 'active'
    return ppm < DEADBAND * limit(limits) ? 'clear' : 'between'
  },
  suppressed: ({ room }) => room === null,
  priority: () => 'high',
  whatToDo: () => GET_OUT,
})

export const roomOzoneCeiling = rule(
  {
    name: 'room-ozone-ceiling',
    limits: CEILING,
    text: ({ live, room }, limits) =>
      `Ozone in the room at ${live.name}: ${ppmText(room?.minutePpm)}, limit ${limits.ceiling_ppm} ppm`,
  },
  (room) => room.minutePpm,
  (limits) => limits.ceiling_ppm,
)

export const roomOzoneEightHours = rule(
  {
    name: 'room-ozone-8-h',
    limits: EIGHT_HOURS,
    text: ({ live, room }, limits) =>
      `Ozone in the room at ${live.name}, average of 8 h: ${ppmText(room?.eightHoursPpm)}, limit ${limits.average_ppm} ppm`,
  },
  (room) => room.eightHoursPpm,
  (limits) => limits.average_ppm,
)

const ppmText = (ppm: number | null | undefined): string =>
  ppm === null || ppm === undefined ? 'not known' : `${ppm.toFixed(3)} ppm`
