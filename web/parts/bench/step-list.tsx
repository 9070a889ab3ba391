import { RULES_WIN } from '../../../server/wording/cautions.ts'
import { tickedSteps } from '../../../server/wording/entries.ts'
import { PHASE, sheetWords } from '../../../server/wording/words.ts'
import { type Step, stepsFor } from '../../steps.ts'
import { useWho } from '../../who.ts'
import { WhoField } from '../form/who-field.tsx'
import { type BenchView, isOpen, newestSeq } from './bench-view.ts'

/** What to look at in each phase; a tick is an entry with a name and a time, not a picture. */
export const StepList = ({ view }: { readonly view: BenchView }) => {
  const { live, acting, clock } = view
  const [who] = useWho()
  const batch = live.batch
  if (!isOpen(batch)) return null
  const ticked = tickedSteps(view.entries)
  const tick = ({ step, text }: Step) => {
    const entry = { kind: 'step-ticked', data: { step, text } } as const
    const when = { kind: 'now' } as const
    void acting.send({
      entry,
      when,
      now_ms: view.now_ms,
      expected_seq: newestSeq(batch, view),
      batch: batch.id,
    })
  }
  return (
    <section class="steps" aria-labelledby="steps-head">
      <h2 id="steps-head">Steps</h2>
      <p class="hint">
        {batch.method_sheet === null
          ? 'A general list: this batch has no method sheet.'
          : `Of the method sheet ${sheetWords(batch.method_sheet)}.`}{' '}
        {RULES_WIN}
      </p>
      {who.trim() === '' && <WhoField needed />}
      <ol>
        {stepsFor(batch).map((step) => {
          const done = ticked.get(step.step)
          return (
            <li key={step.step} class={step.during === live.phase.kind ? 'step step-now' : 'step'}>
              <span class="step-phase">{PHASE[step.during]}</span>
              <span class="step-text">{step.text}</span>
              {done === undefined ? (
                <button
                  type="button"
                  class="plain"
                  disabled={who.trim() === ''}
                  aria-label={`Tick: ${step.text}`}
                  onClick={() => tick(step)}
                >
                  Tick
                </button>
              ) : (
                <span class="step-done">
                  ticked {clock.time(done.happened_at)}, {done.who.name}
                </span>
              )}
            </li>
          )
        })}
      </ol>
    </section>
  )
}
