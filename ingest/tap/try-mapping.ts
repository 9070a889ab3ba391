import { stringify } from 'yaml'
import { checkConfigText } from '../config.ts'
import type { DiscardReason, Frame } from '../frame/frame.ts'
import type { RegisterTable } from '../frame/modbus-request.ts'
import { createFrameReader } from '../read-frames.ts'
import { timeUs } from '../units.ts'
import { shownValue } from './hub.ts'
import type { TapValue } from './tap-event.ts'

/** A frame that was heard, to try a mapping on. `mono_ms` is uptime. */
export type TriedFrame =
  | { readonly kind: 'line'; readonly mono_ms: number; readonly text: string }
  | {
      readonly kind: 'registers'
      readonly mono_ms: number
      readonly table: RegisterTable
      readonly start: number
      readonly words: readonly number[]
    }

export interface Tried {
  /** What the settings lack; nothing was tried then. */
  readonly faults: readonly string[]
  readonly read: number
  readonly discarded: readonly { readonly why: DiscardReason; readonly count: number }[]
  /** The newest value of each channel. */
  readonly values: readonly TapValue[]
  readonly doubt: string | null
}

const PORT = 'port'
const BENCH = 'bench'
const OTHER_TEXT = '; check order in spargewatch.yaml'

/** What an instrument wired like this would have made of these frames. Stores nothing. */
export const tryMapping = (
  port: unknown,
  instrument: Readonly<Record<string, unknown>>,
  frames: readonly TriedFrame[],
): Tried => {
  const file = {
    site: { name: 'trial', zone: 'UTC' },
    benches: [{ id: BENCH }],
    ports: { [PORT]: port },
    instruments: [{ ...instrument, port: PORT, bench: BENCH }],
  }
  const checked = checkConfigText(stringify(file), '.')
  if (!checked.ok) return { ...NOTHING, faults: checked.faults.map(withoutPlace) }
  const [speech] = checked.config.ports
  const by = speech?.instruments[0]?.instrument
  if (speech === undefined || by === undefined) return NOTHING
  const reader = createFrameReader(speech)
  const taken = frames.map((frame) =>
    reader.take(frameOf(frame, by), { timeUs: timeUs(0), monoMs: frame.mono_ms, bootId: 'trial' }),
  )
  const discarded = new Map<DiscardReason, number>()
  const values = new Map<string, TapValue>()
  for (const each of taken) {
    if ('discarded' in each) discarded.set(each.discarded.why, (discarded.get(each.discarded.why) ?? 0) + 1)
    else for (const reading of each.readings) values.set(reading.series.channel, shownValue(reading))
  }
  return {
    faults: [],
    read: taken.filter((t) => 'readings' in t && t.readings.length > 0).length,
    discarded: [...discarded].map(([why, count]) => ({ why, count })),
    values: [...values.values()],
    doubt: reader.doubt()?.replaceAll(OTHER_TEXT, '') ?? null,
  }
}

const NOTHING: Tried = { faults: [], read: 0, discarded: [], values: [], doubt: null }

const frameOf = (frame: TriedFrame, by: string): Frame =>
  frame.kind === 'line'
    ? { kind: 'line', text: frame.text }
    : { kind: 'registers', by, table: frame.table, start: frame.start, words: frame.words }

/** The text that was checked is nobody's file: its lines mean nothing. */
const withoutPlace = (fault: string): string =>
  fault
    .replace(/ \(line \d+\)/, '')
    .replace(/^instruments\[0\]\.?/, '')
    .replace(/^ports\.port/, 'port')
