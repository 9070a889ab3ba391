import { type ChannelDraft, EMPTY_CHANNEL } from '../../set-up/draft.ts'
import type { FrameHeard } from '../../set-up/heard.ts'
import { floatsOf } from '../../set-up/line-fields.ts'
import { CHANNEL } from '../../set-up/words.ts'
import { Choice, Field } from '../form/field.tsx'
import { ChannelMeaning } from './channel-meaning.tsx'
import type { MappingProps } from './mapping-props.ts'

/** Which registers make which quantity. The words as they came stand beside it, read in every order. */
export const RegisterMapping = ({ draft, set, frames, tried, channels }: MappingProps) => {
  const last = frames.findLast((f) => f.kind === 'registers')
  const change = (i: number) => (next: ChannelDraft) =>
    set({ channels: draft.channels.map((c, j) => (i === j ? next : c)) })
  const unused = channels.filter((c) => !draft.channels.some((d) => d.channel === c.channel))
  return (
    <>
      {last === undefined ? (
        <p class="hint">As soon as the unit has answered, its registers stand here.</p>
      ) : (
        <Words frame={last} />
      )}
      <ul class="mapping">
        {draft.channels.map((channel, i) => (
          <li key={channel.channel} class="mapped">
            <h3>{CHANNEL[channel.channel as keyof typeof CHANNEL]}</h3>
            <Place channel={channel} change={change(i)} />
            <ChannelMeaning channel={channel} change={change(i)} channels={channels} tried={tried} />
            <button
              type="button"
              onClick={() => set({ channels: draft.channels.filter((c) => c !== channel) })}
            >
              Take {CHANNEL[channel.channel as keyof typeof CHANNEL]} away
            </button>
          </li>
        ))}
      </ul>
      <Choice
        label="Add a quantity"
        value=""
        none="choose …"
        onValue={(channel) =>
          channel !== '' &&
          set({
            channels: [
              ...draft.channels,
              { ...EMPTY_CHANNEL, by: 'register', channel, table: draft.table, place: draft.start },
            ],
          })
        }
        options={unused.map((c) => [c.channel, CHANNEL[c.channel]] as const)}
      />
    </>
  )
}

const Place = ({
  channel,
  change,
}: {
  readonly channel: ChannelDraft
  readonly change: (channel: ChannelDraft) => void
}) => {
  const set = (key: keyof ChannelDraft) => (value: string) => change({ ...channel, [key]: value })
  const what = CHANNEL[channel.channel as keyof typeof CHANNEL]
  return (
    <>
      <Field label={`Register of ${what}`} kind="number" value={channel.place} onValue={set('place')} />
      <Choice
        label={`Table of ${what}`}
        required
        value={channel.table}
        onValue={set('table')}
        options={[
          ['holding', 'holding'],
          ['input', 'input'],
        ]}
      />
      <Choice
        label={`Type of ${what}`}
        required
        value={channel.type}
        onValue={set('type')}
        options={['float32', 'int16', 'uint16', 'int32', 'uint32'].map((t) => [t, t] as const)}
      />
      <Choice
        label={`Order of the bytes of ${what}`}
        required
        value={channel.order}
        onValue={set('order')}
        options={[
          ['ABCD', 'ABCD (as the standard)'],
          ['CDAB', 'CDAB (words swapped)'],
          ['BADC', 'BADC (bytes swapped)'],
          ['DCBA', 'DCBA (both swapped)'],
        ]}
      />
      <Field
        label={`Number × of ${what}`}
        kind="number"
        value={channel.scale}
        onValue={set('scale')}
        hint="0.1 where the meter sends tenths. Empty: 1."
      />
    </>
  )
}

const MOST_SHOWN = 32

const Words = ({ frame }: { readonly frame: Extract<FrameHeard, { kind: 'registers' }> }) => (
  <table class="list words">
    <caption class="hint">
      Registers as they came, and what two of them would be as float32. The right order is the one that shows
      what the meter’s display shows.
    </caption>
    <thead>
      <tr>
        <th scope="col">Register</th>
        <th scope="col">As a whole number</th>
        <th scope="col">With the next one, as float32</th>
      </tr>
    </thead>
    <tbody>
      {frame.words.slice(0, MOST_SHOWN).map((word, i) => (
        <tr key={i}>
          <th scope="row">{frame.start + i}</th>
          <td data-name="Whole number">{word}</td>
          <td data-name="Float32">
            {floatsOf(frame.words, i)
              .map(
                ([order, value]) =>
                  `${order} ${Number.isFinite(value) ? Number(value.toPrecision(4)) : 'none'}`,
              )
              .join(' · ') || '–'}
          </td>
        </tr>
      ))}
    </tbody>
  </table>
)
