import type { EntryView } from '../wire.ts'
import { alarmChange } from './alarm-change.ts'
import { duration, millilitres } from './format.ts'
import { PEOPLE_ENTRY_TEXT, peopleWords } from './people-words.ts'
import { spotEntryWords } from './spot-words.ts'

/** What happened, in words: the kind of the entry; for an alarm, what changed about it. */
export const entryHead = (entry: EntryView): string =>
  entry.kind === 'alarm'
    ? alarmChange(String(entry.data['from']), String(entry.data['to']))
    : ENTRY_TEXT[entry.kind]

/** Each kind of entry in words. */
export const ENTRY_TEXT: Readonly<Record<EntryView['kind'], string>> = {
  'batch-opened': 'Batch opened',
  'step-ticked': 'Step ticked',
  'ozone-on': 'Ozone on',
  'ozone-off': 'Ozone off',
  'flow-off': 'Flow off',
  disconnected: 'Disconnected',
  'probe-in': 'Probe in',
  'probe-out': 'Probe out',
  'drawn-up': 'Drawn up',
  'bubbled-again': 'Bubbled again',
  discarded: 'Discarded',
  'reading-by-hand': 'Reading by hand',
  'spot-reading': 'Spot reading',
  note: 'Note',
  undone: 'Taken back',
  correction: 'Correction',
  'hand-over': 'Handed over',
  alarm: 'Alarm',
  'alarm-setting': 'Alarm set',
  'method-sheet-written': 'Method sheet written',
  'method-sheet-approved': 'Method sheet approved',
  'method-sheet-withdrawn': 'Method sheet withdrawn',
  'trial-planned': 'Trial planned',
  'trial-changed': 'Plan of a trial changed',
  'trial-batch-joined': 'Batch taken into a trial',
  'trial-batch-excluded': 'Batch left out of a trial',
  'trial-closed': 'Trial closed',
  calibration: 'Calibration',
  'instrument-check': 'Instrument check',
  'step-test': 'Step test of a probe',
  'results-kept': 'Results of a batch kept',
  'from-daemon': 'From the logging program',
  ...PEOPLE_ENTRY_TEXT,
}

/** Ledger entries as a person reads them: what was undone or corrected stays, marked. */
export interface EntryLine {
  readonly entry: EntryView
  readonly undone: boolean
  readonly corrections: readonly EntryView[]
  /** Who signed it, where it was entered at a display before anybody said who. */
  readonly signature: EntryView | undefined
}

export const entryLines = (entries: readonly EntryView[]): readonly EntryLine[] => {
  const undone = new Set(entries.flatMap((e) => (e.kind === 'undone' ? [String(e.data['entry'])] : [])))
  return entries.map((entry) => ({
    entry,
    undone: undone.has(entry.id),
    corrections: entries.filter((e) => e.kind === 'correction' && e.data['entry'] === entry.id),
    signature: entries.find((e) => e.kind === 'signed' && e.data['entry'] === entry.id),
  }))
}

/** Steps that stand ticked: ticked and not taken back. */
export const tickedSteps = (entries: readonly EntryView[]): ReadonlyMap<string, EntryView> =>
  new Map(
    entryLines(entries)
      .filter(({ entry, undone }) => entry.kind === 'step-ticked' && !undone)
      .map(({ entry }) => [String(entry.data['step']), entry]),
  )

/** The data of an entry in words; empty when its kind says it all. */
export const entryWords = (entry: EntryView): string => {
  const { kind, data } = entry
  switch (kind) {
    case 'batch-opened':
      return [data['number'], data['fluid'], `${data['volume_ml']} mL`, sheetOfBatch(data)]
        .filter(Boolean)
        .join(', ')
    case 'method-sheet-written':
    case 'method-sheet-approved':
    case 'method-sheet-withdrawn':
      return `version ${data['version']}`
    case 'trial-planned':
    case 'trial-changed':
      return String((data['plan'] as { title?: string } | undefined)?.title ?? '')
    case 'trial-batch-joined':
    case 'trial-batch-excluded':
      return `batch ${data['batch']}`
    case 'trial-closed':
      return String(data['sentence'])
    case 'step-ticked':
    case 'note':
      return String(data['text'] ?? '')
    case 'alarm':
      return `${data['text']}${toldBy(entry)}`
    case 'drawn-up':
      return drawnWords(data)
    case 'reading-by-hand':
      return handWords(data)
    case 'spot-reading':
      return spotEntryWords(data)
    case 'correction':
      return `${data['field']}: ${JSON.stringify(data['old'])} becomes ${JSON.stringify(data['new'])}`
    case 'undone':
      return 'an earlier entry'
    case 'hand-over':
      return `to ${data['to']}`
    case 'calibration':
      return `${data['instrument']}, ${data['channel']}: slope ${data['slope']}, zero ${data['zero']}, ${data['method']}`
    case 'instrument-check':
      return `${data['kind']} ${data['instrument']} against ${data['reference']}: ${data['found']} for ${data['expected']} ${data['unit']}, limit ${data['limit']}, ${String(data['outcome']).replace('-', ' ')}`
    case 'step-test':
      return `${data['instrument']}, ${data['channel']}: response time ${one(data['tau_s'])} ± ${one(data['u_tau_s'])} s, ${data['readings']} readings`
    case 'results-kept':
      return `worked out by ${data['program']}, hash ${data['sha256']}`
    case 'alarm-setting':
      return alarmSettingWords(data)
    case 'from-daemon':
      return daemonWords(String(data['kind']), data['detail'])
    case 'people-added':
    case 'people-role':
    case 'people-active':
    case 'people-secret':
    case 'people-signed-in':
    case 'people-signed-out':
    case 'people-locked-out':
    case 'people-display-paired':
    case 'people-display-revoked':
    case 'signed':
    case 'record-reviewed':
      return peopleWords(kind, data)
    case 'ozone-on':
    case 'ozone-off':
    case 'flow-off':
    case 'disconnected':
    case 'probe-in':
    case 'probe-out':
    case 'bubbled-again':
    case 'discarded':
      return ''
    default:
      return kind satisfies never
  }
}

const sheetOfBatch = (data: EntryView['data']): string => {
  const from = data['from_sheet'] as { name?: string } | undefined
  const of = data['method_sheet'] as { version?: number } | undefined
  return from && of ? `method sheet ${from.name}, version ${of.version}` : 'without a method sheet'
}

/** An alarm's change that a person brought about names the person. */
const toldBy = ({ who }: EntryView): string => (who.how === 'program' ? '' : ` by ${who.name}`)

const drawnWords = (data: EntryView['data']): string => {
  const reference =
    typeof data['opaque_reference'] === 'string' ? `, reference ${data['opaque_reference']}` : ''
  return `${millilitres(Number(data['ml']))}, ${millilitres(Number(data['left_ml']))} left${reference}; ${atDrawWords(data)}`
}

/** "at draw 17.9 µg/mL (17.3 to 18.5), calibrated": never a live value. */
export const atDrawWords = (data: EntryView['data']): string => {
  const at = data['at_draw']
  if (typeof at !== 'object' || at === null) return 'value at draw not known'
  const { value_mg_l, low_mg_l, high_mg_l, basis, calibrated } = at as Record<string, unknown>
  const band = low_mg_l === null || high_mg_l === null ? '' : ` (${one(low_mg_l)} to ${one(high_mg_l)})`
  const kind = basis === 'estimate' ? ', an estimate, not measured' : ''
  return `at draw ${one(value_mg_l)} µg/mL${band}${kind}, ${calibrated === true ? 'calibrated' : 'uncalibrated'}`
}

const handWords = (data: EntryView['data']): string => {
  const unit = data['quantity'] === 'fluid-temperature' ? '°C' : 'mg/L'
  const u = typeof data['u_percent'] === 'number' ? `, ± ${data['u_percent']} % (1 s)` : ''
  return `${data['value']} ${unit} by ${data['method']}${u}`
}

const one = (value: unknown): string => Number(value).toFixed(1)

/** What the logging program noticed, in words: a gap with its length, a step of the clock with its size. */
const daemonWords = (kind: string, detail: unknown): string => {
  const number = (key: string) => Number((detail as Record<string, unknown> | undefined)?.[key] ?? Number.NaN)
  if (kind === 'gap')
    return Number.isNaN(number('seconds'))
      ? 'a gap in the readings'
      : `no readings for ${duration(number('seconds'))}`
  if (kind === 'clock-step')
    return `the clock of this machine was set ${number('step_us') < 0 ? 'back' : 'forward'} by ${duration(Math.abs(number('step_us')) / 1e6)}`
  return kind === 'store-trouble' ? 'readings could not be stored at once' : kind.replaceAll('-', ' ')
}

const LATE_MS = 5000

/** Was it entered later than the moment it is dated to? */
export const isEnteredLater = (
  entry: { readonly at: string; readonly entered_at: string },
  lateMs = LATE_MS,
): boolean => Date.parse(entry.entered_at) - Date.parse(entry.at) > lateMs

const alarmSettingWords = (data: EntryView['data']): string => {
  const limits = Object.entries((data['limits'] as Record<string, number> | undefined) ?? {})
  return [
    String(data['alarm']).replaceAll('-', ' '),
    ...(data['in_service'] === false ? ['out of service'] : []),
    ...(data['priority'] === undefined ? [] : [`priority ${data['priority']}`]),
    ...(data['on_delay_s'] === undefined ? [] : [`on-delay ${data['on_delay_s']} s`]),
    ...(data['off_delay_s'] === undefined ? [] : [`off-delay ${data['off_delay_s']} s`]),
    ...limits.map(([name, value]) => `${name.replaceAll('_', ' ')} ${value}`),
  ].join(', ')
}
