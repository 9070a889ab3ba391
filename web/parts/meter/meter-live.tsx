import { discardWords } from '../../set-up/advice.ts'
import { type FrameHeard, type Heard, shownHex, shownText } from '../../set-up/heard.ts'
import { CHANNEL, valueWords } from '../../set-up/words.ts'

const SHOWN_PIECES = 10
const SHOWN_FRAMES = 6

interface LiveProps {
  readonly heard: Heard
  /** False: what stands here is of before. */
  readonly live: boolean
}

/** What arrives, as it arrives: bytes, lines or answers, and what could not be used. */
export const MeterLive = ({ heard, live }: LiveProps) => (
  <div class="live-view">
    <section aria-label="Bytes">
      <h3>Bytes</h3>
      <p class="hint">
        {heard.counts.bytes} so far, newest first. [CR] carriage return, [LF] line feed, · no text.
        {heard.counts.lost > 0 && ` More came than can be shown: ${heard.counts.lost} left out.`}
      </p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by keyboard */}
      <section class="bytes" tabIndex={0} aria-label="Newest bytes as text and in hexadecimal">
        {newestFirst(heard.pieces, SHOWN_PIECES).map((piece, i) => (
          <p key={`${piece.at_ms}-${i}`} class={piece.way === 'to-meter' ? 'asked' : undefined}>
            <span class="way">{piece.way === 'to-meter' ? 'asked ' : ''}</span>
            <code class="as-text">{shownText(piece.hex)}</code>
            <code class="as-hex">{shownHex(piece.hex)}</code>
          </p>
        ))}
        {heard.pieces.length === 0 && <p class="hint">Nothing yet.</p>}
      </section>
    </section>
    <section aria-label="Lines and answers">
      <h3>Lines and answers</h3>
      <p class="hint">{heard.counts.frames} whole so far, newest first.</p>
      {!live && heard.frames.length > 0 && (
        <p class="warning">Not live: nothing new arrives. What stands here was heard before.</p>
      )}
      <ul class={live ? 'frames' : 'frames not-live'}>
        {newestFirst(heard.frames, SHOWN_FRAMES).map((frame) => (
          <li key={frame.mono_ms}>
            <code>{frameText(frame)}</code>
            {frame.why !== null && <span class="why"> not used: {discardWords(frame.why)}</span>}
            {frame.values.map((value) => (
              <span key={value.channel} class="now-read">
                {CHANNEL[value.channel]}: {valueWords(value)}
              </span>
            ))}
          </li>
        ))}
      </ul>
      {heard.discards.length > 0 && (
        <>
          <h3>Could not be used</h3>
          <ul class="discards">
            {heard.discards.map(({ why, count, sample }) => (
              <li key={why}>
                <b>{count} ×</b> {discardWords(why)}
                {sample !== '' && (
                  <>
                    : <code>{sample}</code>
                  </>
                )}
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  </div>
)

const newestFirst = <T,>(all: readonly T[], most: number): readonly T[] => all.slice(-most).reverse()

const frameText = (frame: FrameHeard): string =>
  frame.kind === 'line'
    ? frame.text
    : `${frame.table} ${frame.words.map((word, i) => `${frame.start + i}: ${word}`).join(', ')}`
