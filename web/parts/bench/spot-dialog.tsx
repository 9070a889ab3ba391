import { useEffect, useRef } from 'preact/hooks'
import type { SpotAnswer } from '../../../server/wire.ts'
import { concentration, decimal } from '../../../server/wording/format.ts'
import { useWho } from '../../who.ts'
import { Dialog } from '../form/dialog.tsx'
import { WhoField } from '../form/who-field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { newestSeq } from './bench-view.ts'
import type { EntryDialogProps } from './plain-dialog.tsx'
import { type Spot, useSpot } from './use-spot.ts'

/** Counts from the tap that opened it; enters one reading by itself once the value has settled and it is known who takes it. */
export const SpotDialog = ({ view, batch, onClose }: EntryDialogProps) => {
  const { live, acting, now_ms } = view
  const [who] = useWho()
  const spot = useSpot(live.bench)
  const reading = spot.answer?.reading ?? null
  const entered = useRef(false)
  const enter = (): void => {
    if (reading === null || entered.current) return
    entered.current = true
    const { from, to } = reading
    void acting.send({
      entry: { kind: 'spot-reading', data: { from, to } },
      when: { kind: 'now' },
      now_ms,
      expected_seq: newestSeq(batch, view),
      batch: batch.id,
    })
    onClose()
  }
  // a name half typed is no name: then the button enters it
  const knownFromTheStart = useRef(who.trim() !== '').current
  useEffect(() => {
    if (knownFromTheStart) enter()
  }, [reading])
  return (
    <Dialog title={`Spot reading: ${live.name}`} onClose={onClose} sheet>
      <p>Probe in the fluid, stirred gently, and left there until this is done.</p>
      <Progress answer={spot.answer} />
      {spot.problem !== null && <ProblemNote problem={spot.problem} />}
      {spot.answer?.state === 'refused' && <Refused spot={spot} />}
      {!knownFromTheStart && (
        <>
          <WhoField needed />
          <button
            type="button"
            class="big act-next"
            disabled={reading === null || who.trim() === ''}
            onClick={enter}
          >
            {reading === null ? 'Enter it once settled' : 'Enter it'}
          </button>
        </>
      )}
    </Dialog>
  )
}

const Progress = ({ answer }: { readonly answer: SpotAnswer | null }) => (
  <div class="spot-progress">
    {/* spoken when the state changes, not every second */}
    <p class="unseen" role="status">
      {answer === null ? '' : spoken(answer)}
    </p>
    <p class="spot-words" aria-hidden>
      {answer === null ? 'Looking at the meter …' : (settledWords(answer) ?? answer.words)}
    </p>
  </div>
)

const spoken = ({ state, words }: SpotAnswer): string =>
  state === 'settling' ? (words.startsWith('Settling') ? 'Settling' : 'Still changing') : words

const settledWords = ({ reading }: SpotAnswer): string | null =>
  reading === null
    ? null
    : `Settled: ${concentration(reading.value_mg_l)} ± ${decimal(reading.u_mg_l, 2)} mg/L (1 s)`

const Refused = ({ spot }: { readonly spot: Spot }) => (
  <div class="when-buttons">
    {spot.answer?.may_wait === true && (
      <button type="button" class="big act-next" onClick={spot.keepWaiting}>
        Keep waiting
      </button>
    )}
    <button type="button" class="big" onClick={spot.beginAgain}>
      Begin again
    </button>
  </div>
)
