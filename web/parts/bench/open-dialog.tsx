import { useState } from 'preact/hooks'
import type { MethodSheetVersion, MethodSheetView } from '../../../server/wire.ts'
import { type Asked, useAsked } from '../../ask.ts'
import { sheetLine } from '../../words/sheet-words.ts'
import { Dialog } from '../form/dialog.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import type { BenchView } from './bench-view.ts'
import { OpenBySheet } from './open-by-sheet.tsx'
import { OpenForTrial, type RunHere, TrialRuns, useRunsHere } from './open-for-trial.tsx'
import { OpenFreely } from './open-freely.tsx'

/** By an approved method sheet in three taps, or freely; a server that cannot name its sheets holds nobody up. */
export const OpenDialog = ({ view, onClose }: { readonly view: BenchView; readonly onClose: () => void }) => {
  const [asked] = useAsked<MethodSheetView[]>('/api/method-sheets')
  const [chosen, setChosen] = useState<MethodSheetVersion | 'none' | null>(null)
  const inForce = sheetsInForce(asked)
  const runs = useRunsHere(view.live.bench)
  const [run, setRun] = useState<RunHere | null>(null)
  const way =
    chosen ?? (asked.kind !== 'asking' && inForce.length === 0 && runs?.length === 0 ? 'none' : null)
  return (
    <Dialog title={`Open batch: ${view.live.name}`} onClose={onClose}>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {run !== null ? (
        <OpenForTrial view={view} run={run} onOther={() => setRun(null)} onClose={onClose} />
      ) : way === null ? (
        <SheetChoice
          asking={asked.kind === 'asking'}
          sheets={inForce}
          runs={runs ?? []}
          onRun={setRun}
          onChosen={setChosen}
        />
      ) : way === 'none' ? (
        <OpenFreely view={view} onClose={onClose} />
      ) : (
        <OpenBySheet view={view} version={way} onOther={() => setChosen(null)} onClose={onClose} />
      )}
    </Dialog>
  )
}

const sheetsInForce = (asked: Asked<MethodSheetView[]>): readonly MethodSheetVersion[] =>
  asked.kind === 'answer' ? asked.value.flatMap(({ in_force }) => in_force ?? []) : []

interface ChoiceProps {
  readonly asking: boolean
  readonly sheets: readonly MethodSheetVersion[]
  readonly runs: readonly RunHere[]
  readonly onRun: (run: RunHere) => void
  readonly onChosen: (chosen: MethodSheetVersion | 'none') => void
}

const SheetChoice = ({ asking, sheets, runs, onRun, onChosen }: ChoiceProps) => (
  <section aria-label="Method sheet">
    {asking && <p>Asking for the method sheets …</p>}
    <div class="sheet-buttons">
      <TrialRuns runs={runs} onChosen={onRun} />
      {sheets.map((version) => (
        <button key={version.sheet} type="button" class="big" onClick={() => onChosen(version)}>
          {version.settings.name}
          <span class="act-word">{sheetLine(version.settings)}</span>
        </button>
      ))}
      <button type="button" class="big sheet-none" onClick={() => onChosen('none')}>
        Without a method sheet
        <span class="act-word">type the settings; the record says that there was none</span>
      </button>
    </div>
  </section>
)
