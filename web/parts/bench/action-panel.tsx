import { useState } from 'preact/hooks'
import { ACTION_TEXT, mainActions, otherActions, type PlainKind } from '../../acting.ts'
import { DIPPED_PLACES } from '../../dipped-places.ts'
import { type BenchView, isOpen } from './bench-view.ts'
import { DrawDialog } from './draw-dialog.tsx'
import { NoteDialog } from './note-dialog.tsx'
import { OpenDialog } from './open-dialog.tsx'
import { PlainDialog } from './plain-dialog.tsx'
import { ReadingDialog } from './reading-dialog.tsx'
import { SpotDialog } from './spot-dialog.tsx'

type Opened = PlainKind | 'open' | 'draw-up' | 'note' | 'reading' | 'spot'

/** The big buttons: what belongs to this phase first, the rest one tap further. */
export const ActionPanel = (view: BenchView) => {
  const [opened, setOpened] = useState<Opened | null>(null)
  const { live } = view
  const next = view.in_touch ? live.next_step.action : null
  const open = isOpen(live.batch)
  const main = mainActions(live.phase.kind)
  // first where it is the next step: what is pressed next stands first, for eyes and for keys
  const spot = open && live.spot_mode && (
    <Act text="Take a spot reading" next={next === 'spot-reading'} onClick={() => setOpened('spot')} />
  )
  return (
    <section class="actions" aria-label="Enter what happens">
      <div class="action-buttons">
        {next === 'spot-reading' && spot}
        {!open && <Act text="Open batch" next={next === 'open'} onClick={() => setOpened('open')} />}
        {open && live.phase.kind === 'standing' && (
          <Act text="Draw up" next={next === 'draw-up'} onClick={() => setOpened('draw-up')} />
        )}
        {mayAgain(live) && <Act text="Bubble again" next={false} onClick={() => setOpened('ozone-on')} />}
        {open &&
          main.map((kind) => (
            <Act
              key={kind}
              text={ACTION_TEXT[kind]}
              next={next === (kind === 'discarded' ? 'discard' : kind)}
              onClick={() => setOpened(kind)}
            />
          ))}
        {next !== 'spot-reading' && spot}
        {open && <Act text="Reading by hand" next={false} onClick={() => setOpened('reading')} />}
        {open && <Act text="Note" next={false} onClick={() => setOpened('note')} />}
      </div>
      {open && (
        <Others
          kinds={otherActions(live.phase.kind).filter(
            (kind) => kind !== 'ozone-on' || live.phase.kind !== 'standing',
          )}
          onPick={setOpened}
          view={view}
        />
      )}
      <Opened opened={opened} view={view} onClose={() => setOpened(null)} />
    </section>
  )
}

/** Offered only where the batch's method sheet allows it, as long as count and minutes do. */
const mayAgain = ({ batch, phase }: BenchView['live']): boolean =>
  isOpen(batch) && phase.kind === 'standing' && batch.bubbled_again.why_not === null

/** Where a meter is wired and the probe is not in what is used all the time. */
const mayDip = ({ batch, metered }: BenchView['live']): boolean =>
  metered && batch !== null && DIPPED_PLACES.includes(batch.measuring_place)

interface ActProps {
  readonly text: string
  readonly next: boolean
  readonly onClick: () => void
}

const Act = ({ text, next, onClick }: ActProps) => (
  <button type="button" class={next ? 'big act act-next' : 'big act'} onClick={onClick}>
    {text}
    {next && <span class="act-word"> next step</span>}
  </button>
)

interface OthersProps {
  readonly kinds: readonly PlainKind[]
  readonly view: BenchView
  readonly onPick: (kind: Opened) => void
}

const Others = ({ kinds, view, onPick }: OthersProps) => (
  <details class="other-entries">
    <summary>Other entries</summary>
    <div class="action-buttons">
      {view.live.phase.kind !== 'standing' && (
        <Act text="Draw up" next={false} onClick={() => onPick('draw-up')} />
      )}
      {mayDip(view.live) && !view.live.spot_mode && (
        <Act text="Take a spot reading" next={false} onClick={() => onPick('spot')} />
      )}
      {kinds.map((kind) => (
        <Act key={kind} text={ACTION_TEXT[kind]} next={false} onClick={() => onPick(kind)} />
      ))}
    </div>
  </details>
)

interface OpenedProps {
  readonly opened: Opened | null
  readonly view: BenchView
  readonly onClose: () => void
}

const Opened = ({ opened, view, onClose }: OpenedProps) => {
  if (opened === null) return null
  const batch = view.live.batch
  if (opened === 'open') return <OpenDialog view={view} onClose={onClose} />
  if (!isOpen(batch)) return null
  const props = { view, batch, onClose }
  switch (opened) {
    case 'draw-up':
      return <DrawDialog {...props} />
    case 'note':
      return <NoteDialog {...props} />
    case 'spot':
      return <SpotDialog {...props} />
    case 'reading':
      return <ReadingDialog {...props} />
    default:
      return <PlainDialog {...props} kind={opened} />
  }
}
