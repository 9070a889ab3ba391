import { CANONICAL_UNIT, type Channel } from './reading.ts'

/** value in canonical unit = value as sent × scale + offset. Definitions of units, exact. */
interface Conversion {
  readonly scale: number
  readonly offset: number
}

const same: Conversion = { scale: 1, offset: 0 }
const times = (scale: number): Conversion => ({ scale, offset: 0 })

/** Units a meter may send, by channel. Gas units that need temperature and pressure to convert are not here on purpose. */
const ACCEPTED: Readonly<Record<Channel, Readonly<Record<string, Conversion>>>> = {
  'dissolved-ozone': {
    'mg/L': same,
    'ug/mL': same,
    'µg/mL': same,
    'g/m3': same,
    'ug/L': times(1e-3),
    ppb: times(1e-3),
  },
  'fluid-temperature': {
    C: same,
    '°C': same,
    F: { scale: 5 / 9, offset: -160 / 9 },
    K: { scale: 1, offset: -273.15 },
  },
  'gas-ozone': { 'ug/NmL': same, 'µg/NmL': same, 'g/Nm3': same },
  'gas-flow': { 'mL/min': same, 'L/min': times(1000), 'L/h': times(1000 / 60) },
  'room-ozone': { ppm: same, ppb: times(1e-3) },
  ph: { pH: same },
  conductivity: { 'uS/cm': same, 'µS/cm': same, 'mS/cm': times(1000) },
  'redox-potential': { mV: same, V: times(1000) },
  'barometric-pressure': { kPa: same, hPa: times(0.1), mbar: times(0.1), bar: times(100) },
}

export const acceptedUnits = (channel: Channel): readonly string[] => Object.keys(ACCEPTED[channel])

/** Undefined when this channel cannot be sent in that unit. */
export const toCanonical = (channel: Channel, unit: string): ((sent: number) => number) | undefined => {
  const conversion = ACCEPTED[channel][unit]
  return conversion && ((sent) => sent * conversion.scale + conversion.offset)
}

export const canonicalUnit = (channel: Channel): string => CANONICAL_UNIT[channel]
