import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { MethodSheet, MethodSheetView } from '../../server/wire.ts'
import { RULES_WIN } from '../../server/wording/cautions.ts'
import { useAsked } from '../ask.ts'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { SheetCard } from '../parts/sheet/sheet-card.tsx'
import { SheetForm } from '../parts/sheet/sheet-form.tsx'
import { takeOver } from '../planned-sheet.ts'
import { Link } from '../router.tsx'
import { useApp } from '../store.ts'

/** The clinic's approved settings, every version of them. */
export const SheetsScreen = () => {
  const clock = useSiteClock()
  const newest = useApp((s) => s.outside)
  const [asked, again] = useAsked<MethodSheetView[]>('/api/method-sheets', newest)
  const sheets = asked.kind === 'answer' ? asked.value : []
  const [planned] = useState(takeOver)
  const another = <NewSheet planned={planned} onEntered={again} />
  return (
    <div class="page">
      <h1>Method sheets</h1>
      <p class="hint">
        The clinic’s settings for one fluid, volume and generator setting, written by one person and approved
        by another. A batch names the version it was opened by. {RULES_WIN.replace('this list', 'a sheet')}
      </p>
      {planned !== null && another}
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && sheets.length === 0 && <p>There is none yet.</p>}
      {sheets.map((sheet) => (
        <SheetCard key={sheet.sheet} sheet={sheet} clock={clock} onEntered={again} />
      ))}
      {planned === null && another}
    </div>
  )
}

interface NewSheetProps {
  /** What the planner handed over: then its form is open, and first on the page. */
  readonly planned: Partial<MethodSheet> | null
  readonly onEntered: () => void
}

const NewSheet = ({ planned, onEntered }: NewSheetProps) => {
  const [open, setOpen] = useState(planned !== null)
  const [sheet, setSheet] = useState(() => v7())
  return (
    <section>
      <h2>{planned === null ? 'Another sheet' : 'A sheet of the plan'}</h2>
      <p>
        {planned === null ? (
          <>
            <Link to="/plan">Plan a batch</Link> first to see what its numbers would come to.
          </>
        ) : (
          'The numbers of the plan are filled in; what it does not hold is asked for.'
        )}
      </p>
      <details
        open={open}
        onToggle={(event) => event.target === event.currentTarget && setOpen(event.currentTarget.open)}
      >
        <summary>Write a new method sheet</summary>
        {open && (
          <SheetForm
            key={sheet}
            sheet={sheet}
            from={planned ?? {}}
            after={null}
            onEntered={() => {
              setSheet(v7())
              setOpen(false)
              onEntered()
            }}
          />
        )}
      </details>
    </section>
  )
}
