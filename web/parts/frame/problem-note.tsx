import type { Problem } from '../../../server/wire.ts'
import { entryHead, entryWords } from '../../../server/wording/entries.ts'
import { useSiteClock } from './site.ts'

/** What the server refused, what was entered meanwhile, and what to do about it. */
export const ProblemNote = ({ problem }: { readonly problem: Problem }) => {
  const clock = useSiteClock()
  const newer = problem.entries ?? []
  return (
    <div class="problem" role="alert">
      <strong>{problem.status === 409 ? 'Something else was entered meanwhile.' : problem.detail}</strong>
      {newer.map((entry) => (
        <p key={entry.id}>
          {clock.seconds(entry.happened_at)} {entryHead(entry)} {entryWords(entry)} ({entry.who.name})
        </p>
      ))}
      {problem.status === 409 && <span> Look, then press again if it still holds.</span>}
      {problem.fix !== undefined && problem.status !== 409 && <span> {problem.fix}</span>}
    </div>
  )
}
