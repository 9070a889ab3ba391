import type { Problem } from '../../server/wire.ts'

/** What the server refused, and what to do about it. */
export const ProblemNote = ({ problem }: { readonly problem: Problem }) => (
  <div class="problem" role="alert">
    <strong>{problem.status === 409 ? 'Somebody else entered something meanwhile.' : problem.detail}</strong>
    {problem.status === 409 && <span> Look at the newest entries, then press again if it still holds.</span>}
    {problem.fix !== undefined && <span> {problem.fix}</span>}
  </div>
)
