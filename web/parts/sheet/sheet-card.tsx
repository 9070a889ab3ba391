import { useState } from 'preact/hooks'
import type { MethodSheet, MethodSheetVersion, MethodSheetView } from '../../../server/wire.ts'
import type { SiteClock } from '../../../server/wording/site-clock.ts'
import { trialPath } from '../../route.ts'
import { Link } from '../../router.tsx'
import { shownWords } from '../../sheet-shown.ts'
import { sheetChanges, sheetFacts, sheetLine, stepLines } from '../../words/sheet-words.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { Fact } from '../form/fact.tsx'
import { Field } from '../form/field.tsx'
import { Openable } from '../form/openable.tsx'
import { SheetForm } from './sheet-form.tsx'

interface CardProps {
  readonly sheet: MethodSheetView
  readonly clock: SiteClock
  readonly onEntered: () => void
}

/** One sheet: what is in force, what waits for approval and what that would change, and what to do with it. */
export const SheetCard = ({ sheet, clock, onEntered }: CardProps) => {
  const { in_force: inForce, versions } = sheet
  const newest = versions[0]
  if (newest === undefined) return null
  const waiting = newest.state === 'waiting' ? newest : null
  const shown = inForce ?? newest
  return (
    <section class="panel sheet">
      <h2>{shown.settings.name}</h2>
      <p class={inForce === null ? 'sheet-state sheet-not-in-force' : 'sheet-state'}>
        {stateWords(shown, clock)}
      </p>
      <p>{sheetLine(shown.settings)}</p>
      <ShownBy version={shown} clock={clock} />
      <Openable title={`All settings and steps of version ${shown.version}`}>
        {() => <SheetContent settings={shown.settings} />}
      </Openable>
      {waiting !== null && (
        <Waiting waiting={waiting} inForce={inForce} clock={clock} onEntered={onEntered} />
      )}
      {inForce !== null && (
        <Openable title={`Withdraw version ${inForce.version}`}>
          {() => (
            <Withdraw
              version={inForce}
              button={`Withdraw version ${inForce.version}`}
              onEntered={onEntered}
            />
          )}
        </Openable>
      )}
      <Openable title={`Write version ${newest.version + 1}`}>
        {() => (
          <SheetForm
            key={newest.version}
            sheet={sheet.sheet}
            from={newest.settings}
            after={newest}
            onEntered={onEntered}
          />
        )}
      </Openable>
      {versions.length > 1 && (
        <Openable title="All versions">
          {() => (
            <ul class="sheet-versions">
              {versions.map((version) => (
                <li key={version.version}>
                  {stateWords(version, clock)}
                  <Openable title={`Settings and steps of version ${version.version}`}>
                    {() => <SheetContent settings={version.settings} />}
                  </Openable>
                </li>
              ))}
            </ul>
          )}
        </Openable>
      )}
    </section>
  )
}

/** A reviewer sees before approving it what a prep time rests on. */
const ShownBy = ({ version, clock }: { readonly version: MethodSheetVersion; readonly clock: SiteClock }) => {
  const trial = version.prep_time_trial
  return (
    <p class={trial === null ? 'sheet-not-shown' : 'sheet-shown'}>
      {shownWords(version, clock)} {trial !== null && <Link to={trialPath(trial.id)}>See the trial</Link>}
    </p>
  )
}

const stateWords = (version: MethodSheetVersion, clock: SiteClock): string => {
  const { written, approved, withdrawn } = version
  const by = (deed: { at: string; by: string; why: string | null }) =>
    `${deed.by}, ${clock.full(deed.at)}${deed.why === null ? '' : ` (${deed.why})`}`
  const head = {
    waiting: 'waits for approval by another person; not in force',
    'in-force': 'in force',
    replaced: 'replaced by a later version',
    withdrawn: 'withdrawn; not in force',
  }[version.state]
  return [
    `Version ${version.version} ${head}`,
    `written by ${by(written)}`,
    ...(approved === null ? [] : [`approved by ${by(approved)}`]),
    ...(withdrawn === null ? [] : [`withdrawn by ${by(withdrawn)}`]),
  ].join(' · ')
}

const SheetContent = ({ settings }: { readonly settings: MethodSheet }) => (
  <>
    <dl class="facts">
      {sheetFacts(settings).map(([name, value]) => (
        <Fact key={name} name={name}>
          {value}
        </Fact>
      ))}
    </dl>
    <ol>
      {stepLines(settings).map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ol>
  </>
)

interface WaitingProps extends Omit<CardProps, 'sheet'> {
  readonly waiting: MethodSheetVersion
  readonly inForce: MethodSheetVersion | null
}

const Waiting = ({ waiting, inForce, clock, onEntered }: WaitingProps) => {
  const { version, settings, written } = waiting
  return (
    <div class="sheet-waiting">
      <h3>
        Version {version} waits for approval: written by {written.by}, {clock.full(written.at)}
      </h3>
      <ShownBy version={waiting} clock={clock} />
      {inForce === null ? <SheetContent settings={settings} /> : <Changes before={inForce} after={waiting} />}
      <EntryForm
        path={`/api/method-sheets/${waiting.sheet}/approval`}
        button={`Approve version ${version}`}
        typed={{ kind: 'data', data: null }}
        body={() => ({ version })}
        hint={`Another person than ${written.by} approves it. Batches opened from then on go by it.`}
        onEntered={onEntered}
      >
        {null}
      </EntryForm>
      <Openable title={`Turn version ${version} down`}>
        {() => <Withdraw version={waiting} button={`Turn version ${version} down`} onEntered={onEntered} />}
      </Openable>
    </div>
  )
}

interface ChangesProps {
  readonly before: MethodSheetVersion
  readonly after: MethodSheetVersion
}

const Changes = ({ before, after }: ChangesProps) => {
  const changes = sheetChanges(before.settings, after.settings)
  if (changes.length === 0) return <p>Nothing is different from version {before.version}.</p>
  return (
    <table class="list">
      <caption class="hint">What would change.</caption>
      <thead>
        <tr>
          <th scope="col">Setting</th>
          <th scope="col">Version {before.version}, in force</th>
          <th scope="col">Version {after.version}</th>
        </tr>
      </thead>
      <tbody>
        {changes.map((change) => (
          <tr key={`${change.name} ${change.before} ${change.after}`}>
            <th scope="row">{change.name}</th>
            <td data-name={`Version ${before.version}, in force`}>{change.before}</td>
            <td data-name={`Version ${after.version}`}>{change.after}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

interface WithdrawProps {
  readonly version: MethodSheetVersion
  readonly button: string
  readonly onEntered: () => void
}

const Withdraw = ({ version, button, onEntered }: WithdrawProps) => {
  const [why, setWhy] = useState('')
  return (
    <EntryForm
      path={`/api/method-sheets/${version.sheet}/withdrawal`}
      button={button}
      typed={
        why.trim() === '' ? { kind: 'refused', why: 'Type the reason.' } : { kind: 'data', data: why.trim() }
      }
      body={(reason) => ({ version: version.version, why: reason })}
      hint="It is not offered any more; no earlier version comes back. Open batches go on as they were opened."
      onEntered={onEntered}
    >
      <Field label="Reason" value={why} onValue={setWhy} maxLength={500} required />
    </EntryForm>
  )
}
