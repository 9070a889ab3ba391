import { useEffect, useState } from 'preact/hooks'
import type { Instrument, Problem, StepFound, StepWanted } from '../../../server/wire.ts'
import { decimal, placesOf } from '../../../server/wording/format.ts'
import { post } from '../../ask.ts'
import { useApp, useNow } from '../../store.ts'
import { EMPTY_STEP, spanTyped, stepEntry } from '../../typed/step-typed.ts'
import { refused, type Typed } from '../../typed/typed.ts'
import { StepGuide } from '../bench/step-guide.tsx'
import { EntryForm } from '../form/entry-form.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { MomentField } from '../form/moment-field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'
import { useServerNow } from '../frame/site-time.tsx'

interface StepProps {
  readonly instrument: Instrument
  readonly onEntered: () => void
}

type Worked = { readonly span: string } & (
  | { readonly kind: 'found'; readonly found: StepFound }
  | { readonly kind: 'problem'; readonly problem: Problem }
)

/** The probe is moved from one fluid into another; two marks, or a span of the past, say which readings to look at. */
export const StepTestForm = ({ instrument, onEntered }: StepProps) => {
  const [text, setText] = useState(EMPTY_STEP)
  const [worked, setWorked] = useState<Worked>()
  const clock = useSiteClock()
  const newest = useApp((s) => s.benches.get(instrument.bench)?.value.batch ?? null)
  const batch = newest?.phase.kind === 'discarded' ? null : newest
  const span = spanTyped(instrument.instrument, text, clock.zone, useServerNow(useNow()))
  const key = span.kind === 'data' ? JSON.stringify(span.data) : ''
  useEffect(() => {
    if (key === '') return
    let wanted = true
    void post<StepFound>('/api/step-test', JSON.parse(key) as StepWanted).then((answer) => {
      if (!wanted) return
      setWorked(
        answer.kind === 'answer'
          ? { kind: 'found', span: key, found: answer.value }
          : { kind: 'problem', span: key, problem: answer.problem },
      )
    })
    return () => {
      wanted = false
    }
  }, [key])
  const now = worked?.span === key ? worked : undefined
  const { typed, choice, set } = fieldsOf({ ...text }, setText)
  return (
    <EntryForm
      path="/api/step-tests"
      button="Enter step test"
      typed={entryTyped(span, now, text)}
      hint="It counts for readings from the end of the test on; earlier ones keep theirs."
      onEntered={() => {
        setText(EMPTY_STEP)
        setWorked(undefined)
        onEntered()
      }}
    >
      <p class="warning">
        {batch === null ? (
          'Not while a batch is open at this bench: the readings would count as the batch’s.'
        ) : (
          <b>Batch {batch.number} is open at this bench: readings of a step test would count as its own.</b>
        )}{' '}
        Two small vessels that are thrown away afterwards will do, both at the temperature of use and stirred
        as in use.
      </p>
      <div class="two-columns">
        <div>
          {choice(
            'Channel of the step test',
            'channel',
            instrument.channels.map((c) => [c.channel, `${c.channel}, ${c.unit}`] as const),
            { required: true, hint: 'Only that of dissolved ozone is used in the fits.' },
          )}
          {typed('From fluid A', 'moved_from', { maxLength: 60, hint: 'As saline without ozone.' })}
          {typed('Into fluid B', 'moved_to', { maxLength: 60, hint: 'As saline with ozone.' })}
        </div>
        <div>
          <MomentField label="Probe moved at" zone={clock.zone} value={text.from} onValue={set('from')} />
          <MomentField label="Stood still at" zone={clock.zone} value={text.to} onValue={set('to')} />
        </div>
      </div>
      <StepGuide instrument={instrument} text={text} setText={setText} />
      <div role="status">{now?.kind === 'found' && <FoundWords found={now.found} />}</div>
      {now?.kind === 'problem' && <ProblemNote problem={now.problem} />}
    </EntryForm>
  )
}

const entryTyped = (
  span: Typed<StepWanted>,
  worked: Worked | undefined,
  text: typeof EMPTY_STEP,
): Typed<unknown> => {
  if (span.kind === 'refused') return span
  if (worked?.kind !== 'found') return refused('The response time is being worked out.')
  if (worked.found.kind === 'refused') return refused('There is no response time to enter yet.')
  return { kind: 'data', data: stepEntry(span.data, text) }
}

const FoundWords = ({ found }: { readonly found: StepFound }) => {
  if (found.kind === 'refused') return <p>No response time: {found.words}.</p>
  const seconds = (value: number) => decimal(value, placesOf(found.u_tau_s))
  return (
    <>
      <p class="step-found">
        Response time (63 %) <b>{seconds(found.tau_s)} s</b>, 95 % from {seconds(found.ci95_s[0])} to{' '}
        {seconds(found.ci95_s[1])} s
      </p>
      <p class="hint">
        From {found.readings} readings, {decimal(found.from_value, 2)} to {decimal(found.to_value, 2)}. By the
        area, which needs no fit: {seconds(found.area_tau_s)} s. The value began to move{' '}
        {decimal(found.began_s, 1)} s after the mark; that is no part of it. One test says nothing about how
        the next one falls out: repeat it. Tests within a day count as one, with their scatter.
      </p>
      {found.differ && (
        <p class="warning">
          Fit and area are more than 15 % apart: the step was not a clean one, or the probe is not of first
          order. Repeat it.
        </p>
      )}
    </>
  )
}
