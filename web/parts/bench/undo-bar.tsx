import { ENTRY_TEXT } from '../../../server/wording/entries.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { NO_NAME } from '../../acting.ts'
import { recordPath } from '../../route.ts'
import { Link } from '../../router.tsx'
import { useNow } from '../../store.ts'
import type { Acting } from '../../use-acting.ts'
import { ProblemNote } from '../frame/problem-note.tsx'

const UNDO_MS = 10_000

/** What has just been entered, with ten seconds to take it back, or why it was not entered. */
export const UndoBar = ({ acting, clock }: { readonly acting: Acting; readonly clock: SiteClock }) => {
  const { doing } = acting
  return (
    <div class={`undo-bar undo-bar-${doing.kind}`} role="status">
      <Said acting={acting} clock={clock} />
      {doing.kind === 'problem' && doing.problem.status === 0 && (
        <button type="button" class="big" onClick={() => void acting.again()}>
          Try again
        </button>
      )}
      {doing.kind !== 'idle' && doing.kind !== 'sending' && (
        <button type="button" class="plain" onClick={acting.forget}>
          Close
        </button>
      )}
    </div>
  )
}

const Said = ({ acting, clock }: { readonly acting: Acting; readonly clock: SiteClock }) => {
  const { doing } = acting
  switch (doing.kind) {
    case 'idle':
      return null
    case 'sending':
      return <p>Entering …</p>
    case 'taken-back':
      return <p>{doing.what} taken back. The record keeps both.</p>
    case 'problem':
      return (
        <div>
          <p>
            <b>Not entered.</b>
          </p>
          <ProblemNote problem={doing.problem} />
        </div>
      )
    case 'entered': {
      const { entry, head, undo_until } = doing.acted
      return (
        <>
          <p>
            <b>{ENTRY_TEXT[entry.kind]}</b> entered for {clock.seconds(entry.happened_at)}.
            {entry.who.name === NO_NAME && ' Entered without a name: sign it with a note.'}
          </p>
          {entry.kind === 'discarded' && <Link to={recordPath(head.id)}>Record of batch {head.number}</Link>}
          {undo_until !== null && <Undo acting={acting} from={doing.at_mono_ms} />}
        </>
      )
    }
    default:
      return doing satisfies never
  }
}

const Undo = ({ acting, from }: { readonly acting: Acting; readonly from: number }) => {
  const left = Math.ceil((UNDO_MS - (useNow().mono_ms - from)) / 1000)
  return left > 0 ? (
    <button type="button" class="big undo" onClick={() => void acting.undo()}>
      Take it back <span aria-hidden="true">({Math.min(10, left)} s)</span>
    </button>
  ) : null
}
