import { useState } from 'preact/hooks'
import type { Line, LineWanted, Problem, Reference, ReferenceWanted } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { EMPTY_POINT, type PointText, pointsTyped, sampleOf } from '../../typed/point-typed.ts'
import { numberTyped, withoutNull } from '../../typed/typed.ts'
import { Field, Fieldset } from '../form/field.tsx'
import { ProblemNote } from '../frame/problem-note.tsx'
import { SampleForm } from './sample-form.tsx'

export type FoundLine = Extract<Line, { kind: 'line' }>

interface PointsProps {
  readonly rows: readonly PointText[]
  readonly setRows: (rows: readonly PointText[]) => void
  readonly shared: string
  readonly setShared: (text: string) => void
  readonly zero: { readonly value: string; readonly u: string }
  readonly limit: string
  readonly onLine: (line: FoundLine, points: LineWanted['points']) => void
  readonly onSample: (sample: ReferenceWanted, found: Reference) => void
}

const MOST_POINTS = 8

/** Typed numbers in, slope and zero with their uncertainties out, before anything is entered. */
export const CalibrationPoints = (props: PointsProps) => {
  const { rows, setRows, shared, setShared, onLine, onSample } = props
  const [said, setSaid] = useState<Said>({ kind: 'nothing' })
  const work = async (): Promise<void> => {
    const wanted = wantedFrom(props)
    if (typeof wanted === 'string') return setSaid({ kind: 'words', words: wanted })
    const answer = await post<Line>('/api/calibration-line', wanted)
    if (answer.kind === 'problem') return setSaid({ kind: 'problem', problem: answer.problem })
    if (answer.value.kind === 'refused')
      return setSaid({ kind: 'words', words: REFUSED[answer.value.why] ?? 'No line fits these points.' })
    setSaid({ kind: 'line', line: answer.value, points: wanted.points.length })
    onLine(answer.value, wanted.points)
  }
  return (
    <Fieldset legend="Reference points">
      <p class="hint">
        Each: the reference value, what the meter showed (as sent), and the standard uncertainty of both. One
        in a fluid without ozone gives the zero; three levels or more also tell how straight the meter is.
      </p>
      {rows.map((row, i) => (
        <PointRow
          key={i}
          number={i + 1}
          row={row}
          onRow={(next) => setRows(rows.with(i, next))}
          onSample={onSample}
        />
      ))}
      <Field
        label="Uncertainty all reference values share"
        unit="% (1 s)"
        kind="number"
        value={shared}
        onValue={setShared}
        hint="Of f, ε or the standard: it errs the same way at every point and goes into the slope whole."
      />
      <div class="side-by-side">
        <button
          type="button"
          disabled={rows.length >= MOST_POINTS}
          onClick={() => setRows([...rows, EMPTY_POINT])}
        >
          Add a point
        </button>
        <button type="button" onClick={() => void work()}>
          Work out slope and zero
        </button>
      </div>
      <div role="status">
        {said.kind === 'words' && <p>{said.words}</p>}
        {said.kind === 'line' && <LineWords line={said.line} points={said.points} />}
      </div>
      {said.kind === 'problem' && <ProblemNote problem={said.problem} />}
    </Fieldset>
  )
}

type Said =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'words'; readonly words: string }
  | { readonly kind: 'line'; readonly line: FoundLine; readonly points: number }
  | { readonly kind: 'problem'; readonly problem: Problem }

const wantedFrom = ({ rows, shared, zero, limit }: PointsProps): LineWanted | string => {
  const points = pointsTyped(rows)
  if (points.kind === 'refused') return points.why
  const shared_percent = shared.trim() === '' ? 0 : numberTyped(shared)
  if (shared_percent === null || shared_percent < 0)
    return 'Type the shared uncertainty as a number, or leave it empty.'
  const value = numberTyped(zero.value)
  const u = numberTyped(zero.u)
  return {
    points: points.data,
    shared_percent,
    ...withoutNull({
      zero_known: value === null || u === null ? null : { value, u },
      limit_percent: numberTyped(limit),
    }),
  }
}

const REFUSED: Readonly<Record<string, string>> = {
  'zero-unknown':
    'One point gives a slope only with a known zero: type the zero and its uncertainty first, or add a point.',
  'same-reference': 'The points need at least two different reference values.',
  'slope-not-positive': 'The meter shows less where there is more: look at the points again.',
}

const LINEARITY = {
  within: 'within the limit',
  outside: 'over the limit',
  'cannot-tell': 'too close to the limit to say',
} as const

const LineWords = ({ line, points }: { readonly line: FoundLine; readonly points: number }) => (
  <p>
    Worked out from {points} {points === 1 ? 'point' : 'points'}, shown = zero + slope · reference: slope{' '}
    <b>{line.slope.toFixed(4)}</b> ± {line.u_slope_percent.toFixed(2)} %, zero <b>{line.zero.toFixed(3)}</b> ±{' '}
    {line.u_zero.toFixed(3)}. They stand in the fields below.
    {line.linearity !== null &&
      ` Furthest point ${line.linearity.furthest_percent.toFixed(1)} ± ${line.linearity.u_percent.toFixed(1)} % of the span off the line: ${LINEARITY[line.linearity.word]}.`}
  </p>
)

interface RowProps {
  readonly number: number
  readonly row: PointText
  readonly onRow: (row: PointText) => void
  readonly onSample: PointsProps['onSample']
}

const PointRow = ({ number, row, onRow, onSample }: RowProps) => {
  const [sampling, setSampling] = useState(false)
  const field = (label: string, key: Exclude<keyof PointText, 'taken'>) => (
    <Field
      label={`Point ${number}: ${label}`}
      kind="number"
      value={row[key]}
      onValue={(v) => onRow({ ...row, [key]: v })}
    />
  )
  const take = (sample: ReferenceWanted, found: Reference): void => {
    const filled = { reference: found.mg_l.toFixed(3), u_reference: found.u_own_mg_l.toFixed(3) }
    onRow({ ...row, ...filled, taken: { sample, ...filled } })
    onSample(sample, found)
    setSampling(false)
  }
  const sample = sampleOf(row)
  return (
    <>
      <div class="point-row">
        {field('reference', 'reference')}
        {field('its ±', 'u_reference')}
        {field('shown', 'shown')}
        {field('shown ±', 'u_shown')}
        <div class="point-sample">
          <button type="button" aria-expanded={sampling} onClick={() => setSampling(!sampling)}>
            Point {number} from a sample
          </button>
          {sample !== undefined && <p class="hint">Its sample ({SAMPLE[sample.method]}) goes on record.</p>}
        </div>
      </div>
      {sampling && <SampleForm number={number} onTake={take} onClose={() => setSampling(false)} />}
    </>
  )
}

const SAMPLE = { indigo: 'indigo', dpd: 'DPD', uv: 'UV' } as const
