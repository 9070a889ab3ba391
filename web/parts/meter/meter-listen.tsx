import { adviceOf } from '../../set-up/advice.ts'
import type { MeterDraft } from '../../set-up/draft.ts'
import { listenTo, type portSettings, wiredName } from '../../set-up/settings.ts'
import type { Ear } from '../../set-up/use-listening.ts'
import { STATE } from '../../set-up/words.ts'
import { useNow } from '../../store.ts'
import { ProblemNote } from '../frame/problem-note.tsx'

interface MeterListenProps {
  readonly ear: Ear
  readonly draft: MeterDraft
  readonly settings: ReturnType<typeof portSettings>
}

/** Begins and ends to listen, and says what of what is heard stands in the way. */
export const MeterListen = ({ ear, draft, settings }: MeterListenProps) => {
  const now = useNow()
  const { heard, listening } = ear
  const wanted = listenTo(draft, settings, wiredName(draft))
  const forS = listening.kind === 'listening' ? (now.mono_ms - listening.since_ms) / 1000 : 0
  const advice = listening.kind === 'listening' ? adviceOf(heard, forS, draft.speaks, draft.ask !== '') : null
  return (
    <>
      <div class="side-by-side">
        <button
          type="button"
          class="big"
          disabled={wanted === null}
          onClick={() => wanted !== null && ear.start(wanted)}
        >
          {listening.kind === 'listening' ? 'Listen anew with these settings' : 'Listen'}
        </button>
        {listening.kind === 'listening' && (
          <button type="button" class="big" onClick={ear.stop}>
            Stop listening
          </button>
        )}
      </div>
      <p role="status">
        {wanted === null && 'Choose where the meter is plugged in first.'}
        {listening.kind === 'idle' && heard.ended !== null && `Listening has ended: ${heard.ended}.`}
        {listening.kind === 'listening' &&
          (heard.state === null ? 'Opening …' : `Listening: ${STATE[heard.state.state]}.`)}
      </p>
      {listening.kind === 'listening' && (
        <p class="hint">
          {wiredName(draft) === null
            ? 'Nothing heard here is stored.'
            : 'The readings of this port are stored as always; listening changes nothing.'}
        </p>
      )}
      {listening.kind === 'problem' && <ProblemNote problem={listening.problem} />}
      <div role="status">{advice !== null && <p class="warning">{advice}</p>}</div>
      {heard.doubt !== null && <p class="warning">Doubtful: {heard.doubt}</p>}
    </>
  )
}
