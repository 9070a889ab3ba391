import { useState } from 'preact/hooks'
import type { Problem, TrialPower, TrialSpreadSeen } from '../../../server/wire.ts'
import { decimal } from '../../../server/wording/format.ts'
import { post, useAsked } from '../../ask.ts'
import { EMPTY_POWER, type PowerText, powerTyped } from '../../typed/trial-power-typed.ts'
import { numberTyped } from '../../typed/typed.ts'
import type { TrialForm } from '../../words/trial-text.ts'
import { fieldsOf } from '../form/fields-of.tsx'
import { Openable } from '../form/openable.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'

interface PowerProps {
  readonly form: TrialForm
  readonly onBatches: (batches: string) => void
}

/** How many batches the plan needs, and what they cost. */
export const TrialPowerHelp = (props: PowerProps) => (
  <Openable title="How many batches are needed?">{() => <PowerQuestion {...props} />}</Openable>
)

const PowerQuestion = ({ form, onBatches }: PowerProps) => {
  const [text, setText] = useState<PowerText>(EMPTY_POWER)
  const [found, setFound] = useState<TrialPower | null>(null)
  const [problem, setProblem] = useState<Problem | null>(null)
  const { number } = fieldsOf<keyof PowerText>(text, setText)
  const typed = powerTyped(form, text)
  const ask = async (): Promise<void> => {
    if (typed.kind === 'refused') return
    const answer = await post<TrialPower>('/api/trial-power', typed.data)
    setProblem(answer.kind === 'problem' ? answer.problem : null)
    setFound(answer.kind === 'answer' ? answer.value : null)
  }
  return (
    <>
      <OwnSpread form={form} text={text} setText={setText} />
      {form.kind === 'prep-time' && number('A typical batch takes', 'typical', { unit: 'min' })}
      {number('Batches spread by', 'spread', {
        unit: '%',
        hint: 'One standard deviation from batch to batch.',
      })}
      {number('One batch keeps the bench for', 'each', { unit: 'min', hint: 'May stay empty.' })}
      <p class="hint" aria-live="polite">
        {typed.kind === 'refused' ? typed.why : 'Nothing is stored.'}
      </p>
      <button type="button" disabled={typed.kind === 'refused'} onClick={() => void ask()}>
        Work out how many
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
      {found !== null && <PowerTable form={form} found={found} onBatches={onBatches} />}
    </>
  )
}

interface OwnProps {
  readonly form: TrialForm
  readonly text: PowerText
  readonly setText: (text: PowerText) => void
}

/** What the clinic's own batches say; taken over by a tap, never by itself. */
const OwnSpread = ({ form, text, setText }: OwnProps) => {
  const fluid = form.kind === 'prep-time' ? form.text.fluid : (form.groups[0]?.fluid ?? '')
  const [asked] = useAsked<TrialSpreadSeen>(pathOf(fluid, form))
  if (asked.kind !== 'answer') return null
  const { batches, typical_min, t95_spread_percent, plateau_spread_percent, half_life_spread_percent } =
    asked.value
  const spread =
    form.kind === 'prep-time' ? t95_spread_percent : widest(plateau_spread_percent, half_life_spread_percent)
  if (spread === null)
    return <p class="hint">Fewer than three finished batches of your own speak for this setting.</p>
  const typical = form.kind === 'prep-time' ? typical_min : null
  return (
    <p class="hint">
      {batches} of your own batches spread by {decimal(spread, 1)} %
      {typical !== null && ` and take ${decimal(typical, 1)} min to 95 %`}.{' '}
      <button
        type="button"
        class="plain"
        onClick={() =>
          setText({
            ...text,
            spread: decimal(spread, 1),
            typical: typical === null ? text.typical : decimal(typical, 1),
          })
        }
      >
        Take these
      </button>
    </p>
  )
}

const widest = (a: number | null, b: number | null): number | null =>
  a === null ? b : b === null ? a : Math.max(a, b)

const pathOf = (fluid: string, { text }: TrialForm): string | null => {
  if (fluid === '') return null
  const [volume, flow] = [numberTyped(text.volume), numberTyped(text.flow)]
  const more = [
    ...(volume !== null && volume > 0 ? [`&volume_ml=${volume}`] : []),
    ...(flow !== null && flow > 0 ? [`&flow_ml_per_min=${flow}`] : []),
  ]
  return `/api/trial-spread?fluid=${encodeURIComponent(fluid)}${more.join('')}`
}

interface TableProps {
  readonly form: TrialForm
  readonly found: TrialPower
  readonly onBatches: (batches: string) => void
}

const PowerTable = ({ form, found, onBatches }: TableProps) => {
  const { rows, needed, power_percent, basis } = found
  const isPrep = form.kind === 'prep-time'
  const hasHours = rows.some((r) => r.hours !== null)
  return (
    <div aria-live="polite">
      <table class="list">
        <caption class="hint">{basis}</caption>
        <thead>
          <tr>
            <th scope="col">{isPrep ? 'Batches' : 'Batches of each'}</th>
            {!isPrep && <th scope="col">In all</th>}
            <th scope="col">Chance to show it</th>
            {hasHours && <th scope="col">At the bench</th>}
          </tr>
        </thead>
        <tbody>
          {rows.map((r) => (
            <tr key={r.batches}>
              <th scope="row">{r.batches}</th>
              {!isPrep && <td data-name="In all">{r.in_all}</td>}
              <td data-name="Chance to show it">{chanceWords(r.chance_percent)}</td>
              {hasHours && (
                <td data-name="At the bench">{r.hours === null ? '–' : `${decimal(r.hours, 1)} h`}</td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      {needed === null ? (
        <p>
          None of these numbers gives {power_percent} %: {isPrep ? 'plan more minutes' : 'a wider margin'} or
          batches that spread less.
        </p>
      ) : (
        <button type="button" onClick={() => onBatches(String(needed))}>
          Take {needed} {isPrep ? 'batches' : 'of each'}: {power_percent} % chance at least
        </button>
      )}
    </div>
  )
}

/** No number of batches makes it certain. */
const chanceWords = (percent: number): string => (percent > 99 ? 'over 99 %' : `${decimal(percent, 0)} %`)
