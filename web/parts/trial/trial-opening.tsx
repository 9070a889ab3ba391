import { useState } from 'preact/hooks'
import type { MethodSheetView, TrialHead } from '../../../server/wire.ts'
import { MEASURING_PLACE, PURGE } from '../../../server/wording/words.ts'
import { useAsked } from '../../ask.ts'
import type { BatchDetails } from '../../batch-plan.ts'
import { batchOfRun, fluidOfRun, sheetOfRun } from '../../trial-batch.ts'
import { refused, type Typed } from '../../typed/typed.ts'
import { LotField } from '../bench/lot-field.tsx'
import { Choice } from '../form/field.tsx'

type Next = NonNullable<TrialHead['next']>

/** What is still to be chosen for the next batch of a trial: the lot, and what the plan leaves open. */
export const useRunBatch = (trial: TrialHead, next: Next) => {
  const [lot, setLot] = useState('')
  const [place, setPlace] = useState('')
  const [purge, setPurge] = useState('')
  const [asked] = useAsked<MethodSheetView[]>('/api/method-sheets')
  const sheet = asked.kind === 'answer' ? sheetOfRun(trial, next, asked.value) : undefined
  const { plan } = trial
  const own = fluidOfRun(plan, next)
  const fields = (
    <>
      <p class="hint">
        {sheet
          ? `By the method sheet ${sheet.settings.name}, version ${sheet.version}, which says what the plan says.`
          : 'With the settings of the plan; no method sheet in force says the same.'}
      </p>
      {own.lot === undefined ? (
        <LotField fluid={own.fluid} lot={lot} onLot={setLot} />
      ) : (
        <p>
          Lot <b>{own.lot}</b>, as planned for this group.
        </p>
      )}
      {plan.measuring_place === undefined && (
        <Choice
          label="Measuring place"
          value={place}
          onValue={setPlace}
          options={Object.entries(MEASURING_PLACE)}
          required
        />
      )}
      {plan.purge === undefined && (
        <Choice label="Purge" value={purge} onValue={setPurge} options={Object.entries(PURGE)} required />
      )}
    </>
  )
  const typed: Typed<BatchDetails> =
    asked.kind === 'asking'
      ? refused('Asking for the method sheets …')
      : plan.measuring_place === undefined && place === ''
        ? refused('Choose the measuring place.')
        : plan.purge === undefined && purge === ''
          ? refused('Choose how the purge is done.')
          : { kind: 'data', data: batchOfRun(trial, next, sheet, { lot, place, purge }) }
  return { fields, typed }
}
