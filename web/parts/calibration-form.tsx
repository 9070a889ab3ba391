import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Calibrate, Instrument, LineWanted, Problem } from '../../server/wire.ts'
import { post } from '../ask.ts'
import {
  type CalibrationText,
  calibrationTyped,
  EMPTY_CALIBRATION,
  EMPTY_POINT,
  type PointText,
} from '../calibration-typed.ts'
import { useWho } from '../remembered.ts'
import { CalibrationDetails } from './calibration-details.tsx'
import { CalibrationPoints, type FoundLine } from './calibration-points.tsx'
import { Choice, Field } from './field.tsx'
import { ProblemNote } from './problem-note.tsx'
import { WhoField } from './who-field.tsx'

interface FormProps {
  readonly instrument: Instrument
  readonly onEntered: () => void
}

type Said =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'entered' }
  | { readonly kind: 'problem'; readonly problem: Problem }

const TWO_POINTS = [EMPTY_POINT, EMPTY_POINT]

/** A calibration as found against a reference: true value = (shown value − zero) ÷ slope. */
export const CalibrationForm = ({ instrument, onEntered }: FormProps) => {
  const [text, setText] = useState(EMPTY_CALIBRATION)
  const [rows, setRows] = useState<readonly PointText[]>(TWO_POINTS)
  const [worked, setWorked] = useState<Worked>()
  const [who] = useWho()
  const [said, setSaid] = useState<Said>({ kind: 'nothing' })
  const [id, setId] = useState(() => v7())
  const typed = calibrationTyped(instrument.instrument, text, pointsOf(worked, text))
  const send = async (): Promise<void> => {
    if (typed.kind === 'refused') return
    const body: Calibrate = { id, who: who.trim(), data: typed.data }
    const answer = await post('/api/calibrations', body)
    if (answer.kind === 'problem') return setSaid({ kind: 'problem', problem: answer.problem })
    setSaid({ kind: 'entered' })
    setText(EMPTY_CALIBRATION)
    setRows(TWO_POINTS)
    setWorked(undefined)
    setId(v7())
    onEntered()
  }
  const take = (line: FoundLine, points: LineWanted['points']): void => {
    const filled = lineText(line)
    setText({ ...text, ...filled })
    setWorked({ points, filled })
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <CalibrationPoints
        rows={rows}
        setRows={setRows}
        shared={text.u_reference}
        setShared={(u_reference) => setText({ ...text, u_reference })}
        zero={{ value: text.zero, u: text.u_zero }}
        limit={text.limit}
        onLine={take}
      />
      <Inputs instrument={instrument} text={text} setText={setText} />
      <CalibrationDetails text={text} setText={setText} />
      <WhoField needed />
      <p class="hint" aria-live="polite">
        {typed.kind === 'refused'
          ? typed.why
          : 'It counts for readings from now on; earlier ones keep theirs.'}
      </p>
      <button type="submit" class="big" disabled={typed.kind === 'refused' || who.trim() === ''}>
        Enter calibration
      </button>
      <div role="status">{said.kind === 'entered' && <p>Entered.</p>}</div>
      {said.kind === 'problem' && <ProblemNote problem={said.problem} />}
    </form>
  )
}

type LineText = Pick<CalibrationText, 'slope' | 'zero' | 'u_slope' | 'u_zero'>

interface Worked {
  readonly points: LineWanted['points']
  readonly filled: LineText
}

const lineText = (line: FoundLine): LineText => ({
  slope: line.slope.toFixed(5),
  zero: line.zero.toFixed(4),
  u_slope: line.u_slope_percent.toFixed(3),
  u_zero: line.u_zero.toFixed(4),
})

/** The points go on record only while the numbers are still those worked out from them. */
const pointsOf = (worked: Worked | undefined, text: CalibrationText): LineWanted['points'] | undefined => {
  if (worked === undefined) return undefined
  const { slope, zero, u_slope, u_zero } = worked.filled
  const same =
    text.slope === slope && text.zero === zero && text.u_slope === u_slope && text.u_zero === u_zero
  return same ? worked.points : undefined
}

interface InputsProps {
  readonly instrument: Instrument
  readonly text: CalibrationText
  readonly setText: (text: CalibrationText) => void
}

const Inputs = ({ instrument, text, setText }: InputsProps) => {
  const set = (key: keyof CalibrationText) => (value: string) => setText({ ...text, [key]: value })
  const channels = instrument.channels.map((c) => [c.channel, `${c.channel}, ${c.unit}`] as const)
  return (
    <div class="two-columns">
      <div>
        <Choice label="Channel" required value={text.channel} onValue={set('channel')} options={channels} />
        <Field
          label="Slope"
          kind="number"
          required
          value={text.slope}
          onValue={set('slope')}
          hint="Shown value, zero taken off, divided by the reference value."
        />
        <Field
          label="Uncertainty of the slope"
          unit="% (1 s)"
          kind="number"
          required
          value={text.u_slope}
          onValue={set('u_slope')}
        />
      </div>
      <div>
        <Field
          label="Reference method"
          required
          value={text.method}
          onValue={set('method')}
          maxLength={120}
          hint="With its ε or f, the dye lot and the dilution."
        />
        <Field
          label="Zero"
          kind="number"
          required
          value={text.zero}
          onValue={set('zero')}
          hint="What it shows where there is nothing."
        />
        <Field
          label="Uncertainty of the zero"
          unit="channel’s unit (1 s)"
          kind="number"
          required
          value={text.u_zero}
          onValue={set('u_zero')}
        />
      </div>
    </div>
  )
}
