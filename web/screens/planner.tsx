import { useState } from 'preact/hooks'
import type { MethodSheetView, Plan, PlanWanted, Problem } from '../../server/wire.ts'
import { post, useAsked } from '../ask.ts'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { PlanForm, Presets } from '../parts/plan/plan-form.tsx'
import { PlanResult } from '../parts/plan/plan-result.tsx'
import { EMPTY_PLAN_TEXT, planTyped } from '../typed/plan-typed.ts'

/** A batch before it is opened: what it would come to. Nothing is stored. */
export const PlannerScreen = () => {
  const [text, setText] = useState(EMPTY_PLAN_TEXT)
  const [found, setFound] = useState<{ plan: Plan; wanted: PlanWanted } | null>(null)
  const [problem, setProblem] = useState<Problem | null>(null)
  const [sheets] = useAsked<MethodSheetView[]>('/api/method-sheets')
  const typed = planTyped(text)
  const ask = async (): Promise<void> => {
    if (typed.kind === 'refused') return
    const answer = await post<Plan>('/api/plan', typed.data)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    setFound(answer.kind === 'answer' ? { plan: answer.value, wanted: typed.data } : null)
  }
  const isOld =
    found !== null &&
    (typed.kind === 'refused' || JSON.stringify(typed.data) !== JSON.stringify(found.wanted))
  return (
    <div class="page planner">
      <h1>Plan a batch</h1>
      <div class="planner-columns">
        <form
          aria-label="What is planned"
          onSubmit={(event) => {
            event.preventDefault()
            void ask()
          }}
        >
          <Presets sheets={sheets.kind === 'answer' ? sheets.value : []} text={text} setText={setText} />
          <PlanForm text={text} setText={setText} />
          <p class="hint" aria-live="polite">
            {typed.kind === 'refused' ? typed.why : 'Nothing is stored.'}
          </p>
          <button type="submit" class="big" disabled={typed.kind === 'refused'}>
            Work it out
          </button>
        </form>
        <section aria-label="What it would come to" aria-live="polite">
          {problem !== null && <ProblemNote problem={problem} />}
          {found === null && problem === null && <p class="empty">Fill in the form, then work it out.</p>}
          {isOld && (
            <p class="warning">
              The form was changed: this is for what stood there before. Work it out again.
            </p>
          )}
          {found !== null && <PlanResult {...found} />}
        </section>
      </div>
    </div>
  )
}
