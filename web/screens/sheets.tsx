import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { MethodSheetView } from '../../server/wire.ts'
import { RULES_WIN } from '../../server/wording/cautions.ts'
import { useAsked } from '../ask.ts'
import { ProblemNote } from '../parts/problem-note.tsx'
import { SheetCard } from '../parts/sheet-card.tsx'
import { SheetForm } from '../parts/sheet-form.tsx'
import { useSiteClock } from '../parts/site.ts'
import { takeOver } from '../planned-sheet.ts'
import { Link } from '../router.tsx'
import { useApp } from '../store.ts'

/** The clinic's approved settings, every version of them. */
export const SheetsScreen = () => {
  const clock = useSiteClock()
  const newest = useApp((s) => s.outside)
  const [asked, again] = useAsked<MethodSheetView[]>('/api/method-sheets', newest)
  const sheets = asked.kind === 'answer' ? asked.value : []
  return (
    <div class="page">
      <h1>Method sheets</h1>
      <p class="hint">
        The clinic’s settings for one fluid, volume and generator setting, written by one person and approved
        by another. A batch names the version it was opened by. {RULES_WIN.replace('this list', 'a sheet')}
      </p>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && sheets.length === 0 && <p>There is none yet.</p>}
      {sheets.map((sheet) => (
        <SheetCard key={sheet.sheet} sheet={sheet} clock={clock} onEntered={again} />
      ))}
      <NewSheet onEntered={again} />
    </div>
  )
}

const NewSheet = ({ onEntered }: { readonly onEntered: () => void }) => {
  const [planned] = useState(takeOver)
  const [open, setOpen] = useState(planned !== null)
  const [sheet, setSheet] = useState(() => v7())
  return (
    <section>
      <h2>Another sheet</h2>
      <p>
        <Link to="/plan">Plan a batch</Link> first to see what its numbers would come to.
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
