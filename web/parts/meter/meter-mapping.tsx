import type { Tried, WiringFile } from '../../../server/wire.ts'
import { discardWords } from '../../set-up/advice.ts'
import { type ChannelDraft, EMPTY_CHANNEL, type MeterDraft } from '../../set-up/draft.ts'
import type { Heard } from '../../set-up/heard.ts'
import { fieldsOf, guessOf, type LineField } from '../../set-up/line-fields.ts'
import { CHANNEL, faultWords } from '../../set-up/words.ts'
import { Choice, Field } from '../form/field.tsx'
import { ChannelMeaning } from './channel-meaning.tsx'
import type { MappingProps } from './mapping-props.ts'
import type { MeterForm } from './meter-form.ts'
import { RegisterMapping } from './register-mapping.tsx'

/** Which place of a line, or which register, is which quantity, and in which unit; with its value as it would be stored. */
export const MeterMapping = (props: MappingProps) => (
  <>
    {props.draft.speaks === 'line' ? <LineMapping {...props} /> : <RegisterMapping {...props} />}
    <TriedNote tried={props.tried} />
  </>
)

const LineMapping = ({ draft, set, frames, tried, channels }: MappingProps) => {
  const lines = frames.flatMap((f) => (f.kind === 'line' ? [f.text] : []))
  const last = lines.at(-1)
  const own = lines.findLast((l) => draft.starts_with === '' || l.startsWith(draft.starts_with)) ?? last
  const fields = own === undefined ? [] : fieldsOf(own, draft.separator, draft.equals)
  const gone = draft.channels.filter((c) => !fields.some((f) => isAt(c, f)))
  return (
    <>
      <LineParts draft={draft} set={set} lines={lines} />
      {own === undefined && <p class="hint">As soon as a whole line has arrived, its fields stand here.</p>}
      <ul class="mapping">
        {fields.map((field) => (
          <FieldRow
            key={`${field.by}-${field.place}`}
            field={field}
            draft={draft}
            set={set}
            tried={tried}
            channels={channels}
          />
        ))}
        {gone.map((c) => (
          <FieldRow
            key={`gone-${c.channel}`}
            field={{
              by: c.by === 'key' ? 'key' : 'field',
              place: c.place,
              text: '(not in the last line)',
              isNumber: false,
            }}
            draft={draft}
            set={set}
            tried={tried}
            channels={channels}
          />
        ))}
      </ul>
    </>
  )
}

const isAt = (c: ChannelDraft, f: Pick<LineField, 'by' | 'place'>): boolean =>
  c.by === f.by && c.place === f.place

interface RowProps extends MeterForm {
  readonly field: LineField
  readonly tried: Tried | null
  readonly channels: WiringFile['channels']
}

const FieldRow = ({ field, draft, set, tried, channels }: RowProps) => {
  const mapped = draft.channels.find((c) => isAt(c, field))
  const others = draft.channels.filter((c) => c !== mapped)
  const taken = new Set(others.map((c) => c.channel))
  const name = field.by === 'key' ? field.place : `Field ${field.place}`
  const change = (next: ChannelDraft) =>
    set({ channels: mapped ? draft.channels.map((c) => (c === mapped ? next : c)) : [...others, next] })
  const choose = (channel: string) => {
    if (channel === '') return set({ channels: others })
    change({ ...(mapped ?? EMPTY_CHANNEL), by: field.by, place: field.place, channel, unit: '' })
  }
  return (
    <li class={mapped ? 'mapped' : undefined}>
      <p class="field-now">
        <span>{name}</span> <code>{field.text === '' ? '(empty)' : field.text}</code>
      </p>
      <Choice
        label={`${name} is`}
        value={mapped?.channel ?? ''}
        onValue={choose}
        none={field.isNumber ? 'not used' : 'not used (no number)'}
        options={channels
          .filter((c) => !taken.has(c.channel))
          .map((c) => [c.channel, CHANNEL[c.channel]] as const)}
      />
      {mapped && <ChannelMeaning channel={mapped} change={change} channels={channels} tried={tried} />}
    </li>
  )
}

interface PartsProps extends MeterForm {
  readonly lines: readonly string[]
}

const SEPARATORS = [
  [',', 'comma ,'],
  [';', 'semicolon ;'],
  ['\t', 'tabulator'],
  [' ', 'space'],
  ['|', 'bar |'],
] as const

const LineParts = ({ draft, set, lines }: PartsProps) => (
  <div class="line-parts">
    <Choice
      label="Fields are parted by"
      value={draft.separator}
      onValue={(separator) => set({ separator, channels: [] })}
      options={
        SEPARATORS.some(([s]) => s === draft.separator)
          ? SEPARATORS
          : [...SEPARATORS, [draft.separator, draft.separator] as const]
      }
    />
    <Choice
      label="Decimal sign"
      value={draft.decimal}
      onValue={(decimal) => set({ decimal })}
      options={[
        ['point', 'point: 23.4'],
        ['comma', 'comma: 23,4'],
      ]}
    />
    <Field
      label="Only lines that begin with"
      value={draft.starts_with}
      onValue={(starts_with) => set({ starts_with })}
      hint="First field. Empty: every line."
    />
    <Field
      label="Exact number of fields"
      kind="number"
      value={draft.field_count}
      onValue={(field_count) => set({ field_count })}
      hint="A line cut short is then never taken for a whole one."
    />
    <button type="button" disabled={lines.length === 0} onClick={() => set(guessed(draft, lines))}>
      Guess from the lines
    </button>
  </div>
)

/** Places chosen before stand only while the line is still parted the same way. */
const guessed = (draft: MeterDraft, lines: readonly string[]): Partial<MeterDraft> => {
  const guess = guessOf(lines)
  return { ...guess, ...(guess.separator === draft.separator ? {} : { channels: [] }) }
}

const TriedNote = ({ tried }: { readonly tried: Tried | null }) => {
  if (tried === null) return null
  const all = tried.read + tried.discarded.reduce((n, d) => n + d.count, 0)
  return (
    <>
      {tried.faults.length === 0 && (
        <p>
          {tried.read} of the last {all} could be read
          {tried.discarded.map(({ why, count }) => `; ${count} not: ${discardWords(why as Why)}`)}.
        </p>
      )}
      <div role="status">
        {tried.faults.length > 0 && (
          <div class="warning">
            <p>Still missing or wrong:</p>
            <ul>
              {tried.faults.map((fault) => (
                <li key={fault}>{faultWords(fault)}</li>
              ))}
            </ul>
          </div>
        )}
        {tried.doubt !== null && <p class="warning">Doubtful: {tried.doubt}</p>}
      </div>
    </>
  )
}

type Why = Heard['discards'][number]['why']
