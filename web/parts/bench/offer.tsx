import { useState } from 'preact/hooks'
import { ENTRY_TEXT } from '../../../server/wording/entries.ts'
import { NO_NAME, WITHOUT_NAME } from '../../acting.ts'
import { mayWithoutName, useActor, useWho } from '../../who.ts'
import { type BenchView, isOpen, newestSeq } from './bench-view.ts'

const OUT_OF: Readonly<Record<'ozone-on' | 'ozone-off' | 'flow-off', string>> = {
  'ozone-on': 'The reading has risen since',
  'ozone-off': 'The reading or the gas turned, as at ozone off, at',
  'flow-off': 'The reading or the gas turned, as at flow off, at',
}

/** A change nobody entered, offered with its time; "no" is remembered until another one is offered. */
export const Offered = ({ view }: { readonly view: BenchView }) => {
  const [declined, setDeclined] = useState<string | null>(null)
  const [who] = useWho()
  const actor = useActor()
  const { live, clock, acting, in_touch, now_ms } = view
  const { offer, batch } = live
  // ozone on has cautions to be read first and wants a name: the button below asks for both
  if (offer === null || !in_touch || !isOpen(batch) || !WITHOUT_NAME.includes(offer.kind)) return null
  if (who === '' && !mayWithoutName(actor, offer.kind, WITHOUT_NAME)) return null
  const key = `${batch.id} ${offer.kind} ${offer.at.slice(0, 16)}`
  if (declined === key || acting.doing.kind === 'sending') return null
  const enter = () =>
    void acting.send({
      entry: { kind: offer.kind },
      when: { kind: 'at', at_ms: Date.parse(offer.at) },
      now_ms,
      expected_seq: newestSeq(batch, view),
      batch: batch.id,
    })
  return (
    <section class="offer" aria-label="A change that nobody entered">
      <p>
        {OUT_OF[offer.kind]} <b>{clock.seconds(offer.at)}</b>, and nobody entered it.
        {actor.kind === 'typed' && who.trim() === '' && ` Entered as "${NO_NAME}" unless you type your name.`}
      </p>
      <div class="action-buttons">
        <button type="button" class="big act" onClick={enter}>
          {ENTRY_TEXT[offer.kind]} at {clock.seconds(offer.at)}
        </button>
        <button type="button" class="big act" onClick={() => setDeclined(key)}>
          No
        </button>
      </div>
    </section>
  )
}
