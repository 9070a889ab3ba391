import type { Tried, WiringFile } from '../../../server/wire.ts'
import type { ChannelDraft } from '../../set-up/draft.ts'
import { CHANNEL, valueWords } from '../../set-up/words.ts'
import { Choice, Field } from '../form/field.tsx'

interface MeaningProps {
  readonly channel: ChannelDraft
  readonly change: (channel: ChannelDraft) => void
  readonly channels: WiringFile['channels']
  readonly tried: Tried | null
}

/** Unit and range of one channel, and the newest value as it would be stored. */
export const ChannelMeaning = ({ channel, change, channels, tried }: MeaningProps) => {
  const known = channels.find((c) => c.channel === channel.channel)
  if (known === undefined) return null
  const set = (key: keyof ChannelDraft) => (value: string) => change({ ...channel, [key]: value })
  const value = tried?.values.find((v) => v.channel === channel.channel)
  const what = CHANNEL[known.channel]
  return (
    <>
      <Choice
        label={`Unit of ${what}`}
        required
        value={channel.unit}
        onValue={set('unit')}
        options={known.accepted.map((unit) => [unit, unitWords(unit)] as const)}
        hint="As the meter’s display or manual says."
      />
      {channel.unit === 'mA' ? (
        <>
          <Field
            label={`${what} at 4 mA`}
            unit={known.unit}
            kind="number"
            value={channel.at_4ma}
            onValue={set('at_4ma')}
          />
          <Field
            label={`${what} at 20 mA`}
            unit={known.unit}
            kind="number"
            value={channel.at_20ma}
            onValue={set('at_20ma')}
          />
        </>
      ) : (
        TOPS_OUT.has(channel.channel) && (
          <Field
            label={`Full scale of ${what}`}
            unit={channel.unit}
            kind="number"
            value={channel.full_scale}
            onValue={set('full_scale')}
            hint="Where the meter tops out. Empty: not known."
          />
        )
      )}
      <p class="value-now">
        <span>would be stored as</span>{' '}
        <b class={value !== undefined && value.quality !== 'good' ? 'doubted' : undefined}>
          {value === undefined ? '–' : valueWords(value)}
        </b>
      </p>
    </>
  )
}

/** Quantities whose meters are bought by their range. */
const TOPS_OUT = new Set<string>(['dissolved-ozone', 'gas-ozone', 'gas-flow', 'room-ozone', 'conductivity'])

const unitWords = (unit: string): string =>
  unit === 'mA' ? 'mA (4-20 mA current)' : unit === 'ohm' ? 'ohm (Pt100)' : unit
