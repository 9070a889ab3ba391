import { useState } from 'preact/hooks'
import { lastTimeItWas, type SiteClock } from '../../../server/wording/site-clock.ts'
import type { When } from '../../acting.ts'

interface WhenProps {
  readonly clock: SiteClock
  readonly now_ms: number
  readonly disabled: boolean
  readonly onWhen: (when: When) => void
  /** When the signal or the gas shows that it happened. */
  readonly seen_ms?: number | undefined
}

/** Gloved hands press late: the entry carries the time it happened, not the time of the press. */
export const WhenButtons = ({ clock, now_ms, disabled, onWhen, seen_ms }: WhenProps) => {
  const [picking, setPicking] = useState(false)
  const ago = (seconds: number) => () => onWhen({ kind: 'ago', seconds })
  return (
    <div class="when">
      <p class="when-ask">When did it happen?</p>
      <div class="when-buttons">
        <button type="button" class="big" disabled={disabled} onClick={() => onWhen({ kind: 'now' })}>
          Now
        </button>
        <button type="button" class="big" disabled={disabled} onClick={ago(30)}>
          30 s ago
        </button>
        <button type="button" class="big" disabled={disabled} onClick={ago(60)}>
          1 min ago
        </button>
        {seen_ms !== undefined && (
          <button
            type="button"
            class="big"
            disabled={disabled}
            onClick={() => onWhen({ kind: 'at', at_ms: seen_ms })}
          >
            At {clock.seconds(seen_ms)}, as the reading shows
          </button>
        )}
        <button type="button" class="big" aria-expanded={picking} onClick={() => setPicking(!picking)}>
          Pick a time
        </button>
      </div>
      {picking && <PickTime clock={clock} now_ms={now_ms} disabled={disabled} onWhen={onWhen} />}
    </div>
  )
}

const PickTime = ({ clock, now_ms, disabled, onWhen }: WhenProps) => {
  const [text, setText] = useState(() => clock.seconds(now_ms))
  const at_ms = lastTimeItWas(clock.zone, text, now_ms)
  return (
    <div class="pick-time">
      <label>
        Time at the site ({clock.zone}){' '}
        <input type="time" step="1" value={text} onInput={(event) => setText(event.currentTarget.value)} />
      </label>
      <button
        type="button"
        class="big"
        disabled={disabled || at_ms === null}
        onClick={() => at_ms !== null && onWhen({ kind: 'at', at_ms })}
      >
        {at_ms === null ? 'Type a time' : `Enter for ${clock.full(at_ms)}`}
      </button>
    </div>
  )
}
