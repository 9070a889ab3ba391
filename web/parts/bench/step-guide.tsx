import type { Instrument } from '../../../server/wire.ts'
import { ago, decimal } from '../../../server/wording/format.ts'
import { instantOf, type SiteClock } from '../../../server/wording/site-clock.ts'
import { useAsked } from '../../ask.ts'
import { useNow } from '../../store.ts'
import type { StepText } from '../../typed/step-typed.ts'
import { useSiteClock } from '../frame/site.ts'
import { useServerNow } from '../frame/site-time.tsx'

interface GuideProps {
  readonly instrument: Instrument
  readonly text: StepText
  readonly setText: (text: StepText) => void
}

const EVERY_MS = 1000
/** An older reading is no present value. */
const STALE_S = 10

/** What to do next, with the channel's own values beside it: two taps mark the span. */
export const StepGuide = ({ instrument, text, setText }: GuideProps) => {
  const now = useNow()
  const now_ms = useServerNow(now)
  const clock = useSiteClock()
  const [asked] = useAsked<Instrument[]>('/api/instruments', Math.floor(now.mono_ms / EVERY_MS))
  const all = asked.kind === 'answer' ? asked.value : []
  const channel = all
    .find((i) => i.instrument === instrument.instrument)
    ?.channels.find((c) => c.channel === text.channel)
  const from_ms = instantOf(clock.zone, text.from)
  const mark = (key: 'from' | 'to') => () => setText({ ...text, [key]: local(clock, now_ms) })
  return (
    <div class="step-guide">
      <Shows channel={channel} now_ms={now_ms} />
      {text.from === '' ? (
        <>
          <p>
            <b>1.</b> Put the probe into {text.moved_from || 'fluid A'} and wait until its value stands still.{' '}
            <b>2.</b> Tap, then move the probe into {text.moved_to || 'fluid B'} at once.
          </p>
          <button type="button" class="big" onClick={mark('from')}>
            Mark: moving it now
          </button>
        </>
      ) : text.to === '' ? (
        <>
          <p>
            <b>3.</b> Leave it in {text.moved_to || 'fluid B'}
            {from_ms !== null && `, ${Math.max(0, Math.round((now_ms - from_ms) / 1000))} s so far`}. Tap when
            the value has stood still for a while: at least five times as long as it took for two thirds of
            the way.
          </p>
          <button type="button" class="big" onClick={mark('to')}>
            Mark: it stands still
          </button>
        </>
      ) : (
        <button type="button" onClick={() => setText({ ...text, from: '', to: '' })}>
          Mark again
        </button>
      )}
    </div>
  )
}

/** As a field for date and time takes it. */
const local = (clock: SiteClock, ms: number): string => `${clock.day(ms)}T${clock.seconds(ms)}`

interface ShowsProps {
  readonly channel: Instrument['channels'][number] | undefined
  readonly now_ms: number
}

const Shows = ({ channel, now_ms }: ShowsProps) => {
  if (channel === undefined) return <p class="hint">Choose the channel to see its value here.</p>
  if (channel.last_value === null || channel.last_at === null) return <p>No value has come yet.</p>
  const age_s = (now_ms - Date.parse(channel.last_at)) / 1000
  return age_s > STALE_S ? (
    <p>
      <b>No new value:</b> the last one, {decimal(channel.last_value, 2)} {channel.unit}, came {ago(age_s)}.
    </p>
  ) : (
    <p>
      The meter sends <b>{decimal(channel.last_value, 2)}</b> {channel.unit} (uncalibrated)
    </p>
  )
}
