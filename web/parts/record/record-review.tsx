import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { BatchRecord, Problem, ReviewWanted } from '../../../server/wire.ts'
import { reviewWords } from '../../../server/wording/people-words.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { workedOn } from '../../../server/wording/worked-on.ts'
import { post } from '../../ask.ts'
import { useSession } from '../../session.ts'
import { Choice } from '../form/field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { PasswordField } from '../meter/secret-field.tsx'

interface ReviewProps {
  readonly record: BatchRecord
  readonly clock: SiteClock
}

/** Who put their name to this record, and whether it changed since; reviewers put theirs. */
export const RecordReview = ({ record, clock }: ReviewProps) => {
  const [session] = useSession()
  const role = session?.person?.acts_as
  const may = (role === 'reviewer' || role === 'administrator') && record.summary.head.discarded_at !== null
  return (
    <section class="review">
      <h2>Review</h2>
      <p class={record.review?.changed === true ? 'warning' : undefined}>
        {reviewWords(record.review, clock)}
      </p>
      {may && (
        <ReviewForm
          key={record.review?.at ?? ''}
          record={record}
          own={workedOn(record.entries, session?.person?.name ?? '')}
        />
      )}
    </section>
  )
}

const MEANINGS = [
  ['reviewed', 'reviewed: looked at as a whole'],
  ['approved', 'approved: accepted as it stands'],
] as const

interface FormProps {
  readonly record: BatchRecord
  /** Who is to review it has also worked on the batch. */
  readonly own: boolean
}

const ReviewForm = ({ record, own }: FormProps) => {
  const [id, setId] = useState(() => v7())
  const [meaning, setMeaning] = useState('')
  const [secret, setSecret] = useState('')
  const [problem, setProblem] = useState<Problem | null>(null)
  const send = async (): Promise<void> => {
    const wanted: ReviewWanted = {
      id,
      meaning: meaning === 'approved' ? 'approved' : 'reviewed',
      secret,
      expected_seq: record.summary.head.seq,
    }
    const answer = await post(`/api/batches/${record.summary.head.id}/review`, wanted)
    setSecret('')
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    if (answer.kind === 'answer') setId(v7())
  }
  return (
    <form
      class="screen-only"
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      {own && (
        <p class="warning">
          You also worked on this batch. The review and the printed record will say so: “reviewed by somebody
          who also worked on it”.
        </p>
      )}
      <Choice label="What your name means" value={meaning} onValue={setMeaning} options={MEANINGS} />
      <PasswordField label="Your password or PIN, again" value={secret} onValue={setSecret} />
      <button type="submit" class="big" disabled={meaning === '' || secret === ''}>
        Put my name to this record
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
    </form>
  )
}
