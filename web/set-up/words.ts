import type { Tried, WiringFile } from '../../server/wire.ts'

type Channel = WiringFile['channels'][number]['channel']
type Value = Tried['values'][number]

export const CHANNEL: Readonly<Record<Channel, string>> = {
  'dissolved-ozone': 'dissolved ozone',
  'fluid-temperature': 'fluid temperature',
  'gas-ozone': 'ozone in the gas',
  'gas-flow': 'gas flow',
  'room-ozone': 'ozone in the room air',
  ph: 'pH',
  conductivity: 'conductivity',
  'redox-potential': 'redox potential (ORP)',
  'barometric-pressure': 'air pressure',
}

const QUALITY: Readonly<Record<Value['quality'], string | null>> = {
  good: null,
  clipped: 'at the top of the meter’s range',
  'out-of-range': 'cannot be real: check unit, place and decimal sign',
  fault: 'the meter says that it has no number',
  'implausible-rate': 'jumps more than can be real',
  settling: 'settling',
  'probe-out': 'probe out',
  'hand-entered': 'typed in',
  'stale-instrument': 'old',
}

/** A value as it would be stored, and what speaks against it. */
export const valueWords = ({ value, unit, quality }: Value): string => {
  const number =
    value === null ? 'no number' : `${Number(value.toPrecision(5))} ${unit === 'pH' ? '' : unit}`.trim()
  const doubt = QUALITY[quality]
  return doubt === null ? number : `${number}: ${doubt}`
}

export const STATE: Readonly<Record<string, string>> = {
  opening: 'opening the port …',
  open: 'the port is open',
  silent: 'nothing has come for long: opening it again',
  waiting: 'the port does not open',
  stopped: 'closed',
}

/** A fault of the file that would be written, by the name its field has on this screen. */
export const faultWords = (fault: string): string =>
  fault
    // the line is one of a file that does not exist yet
    .replace(/ \(line \d+\)/, '')
    .replace(/^instruments\[\d+\]\.|^instrument\.|^benches\[\d+\]\./, '')
    .replace(/^ports\.[^.]+\.|^port\./, 'port, ')
    .replace(/^channels\[(\d+)\]\.?/, (_, i) => `quantity ${Number(i) + 1}, `)
    .replace(/^channels needs .*/, 'choose at least one quantity under “What the numbers mean”')
    .replace(/^id\b/, 'name of the instrument')
    .replace(/^site\.name/, 'name of the clinic')
    .replace(/^site\.zone/, 'time zone')
    .replace(/^bench needs/, 'bench: needs')
    .replace(/, got (""|nothing|null)$/, ', nothing so far')
