import type { BatchHead } from '../../../server/wire.ts'
import {
  BREATHING,
  BY_PRODUCTS,
  beforeOzoneOn,
  type Caution,
  PRESSURE,
  PURGING,
} from '../../../server/wording/cautions.ts'
import { decimal } from '../../../server/wording/format.ts'
import { againWords } from '../../../server/wording/words.ts'
import { ACTION_TEXT, type PlainKind, type When, WITHOUT_NAME } from '../../acting.ts'
import { mayWithoutName, useActor, useWho } from '../../who.ts'
import { Dialog } from '../form/dialog.tsx'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import { type BenchView, newestSeq } from './bench-view.ts'
import { CautionList } from './caution-list.tsx'

export interface EntryDialogProps {
  readonly view: BenchView
  readonly batch: BatchHead
  readonly onClose: () => void
}

/** One entry with nothing to type but its time: the caution that belongs to it stands above the buttons. */
export const PlainDialog = ({
  view,
  batch,
  onClose,
  kind,
}: EntryDialogProps & { readonly kind: PlainKind }) => {
  const [who] = useWho()
  const { acting, clock, now_ms, live } = view
  const needed = !mayWithoutName(useActor(), kind, WITHOUT_NAME)
  const enter = (when: When) => {
    void acting.send({
      entry: { kind },
      when,
      now_ms,
      expected_seq: newestSeq(batch, view),
      batch: batch.id,
    })
    onClose()
  }
  const cautions = cautionsFor(kind, batch)
  return (
    <Dialog
      title={`${isAgain(kind, batch) ? 'Bubble again: ozone on' : ACTION_TEXT[kind]}: ${live.name}`}
      onClose={onClose}
      sheet
    >
      {isAgain(kind, batch) && <BubblingAgain batch={batch} />}
      {kind === 'discarded' && live.batch_mg !== null && (
        <p>The flask still holds about {decimal(live.batch_mg, 1)} mg of dissolved ozone.</p>
      )}
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={needed && who.trim() === ''}
        onWhen={enter}
        seen_ms={live.offer?.kind === kind ? Date.parse(live.offer.at) : undefined}
      />
      <WhoField needed={needed} />
      {cautions.length > 0 && <CautionList cautions={cautions} />}
    </Dialog>
  )
}

const isAgain = (kind: PlainKind, batch: BatchHead): boolean =>
  kind === 'ozone-on' && batch.flow_off_at.length > 0

/** Shown where the batch's method sheet allows it; the server counts and refuses what is over. */
const BubblingAgain = ({ batch }: { readonly batch: BatchHead }) => (
  <p class="warning">
    {batch.bubbled_again.why_not === null
      ? `So far this fill was ${againWords(batch)}. By-products: see below.`
      : sentence(batch.bubbled_again.why_not)}
  </p>
)

const sentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`

const cautionsFor = (kind: PlainKind, batch: BatchHead): readonly Caution[] => {
  switch (kind) {
    case 'ozone-on':
      return isAgain(kind, batch) ? [...beforeOzoneOn(batch), BY_PRODUCTS] : beforeOzoneOn(batch)
    case 'ozone-off':
      return [PURGING]
    case 'flow-off':
    case 'disconnected':
      return [PURGING, PRESSURE]
    case 'discarded':
      return [BREATHING]
    case 'probe-in':
    case 'probe-out':
      return []
    default:
      return kind satisfies never
  }
}
