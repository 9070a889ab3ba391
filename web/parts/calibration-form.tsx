import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { Calibrate, Instrument, Problem } from '../../server/wire.ts'
import { post } from '../ask.ts'
import { type CalibrationText, calibrationTyped, EMPTY_CALIBRATION } from '../calibration-typed.ts'
import { useWho } from '../remembered.ts'
import { FLUID } from '../words.ts'
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

/** A calibration as found against a reference: true value = (shown value − zero) ÷ slope. */
export const CalibrationForm = ({ instrument, onEntered }: FormProps) => {
  const [text, setText] = useState(EMPTY_CALIBRATION)
  const [who] = useWho()
  const [said, setSaid] = useState<Said>({ kind: 'nothing' })
  const [id, setId] = useState(() => v7())
  const typed = calibrationTyped(instrument.instrument, text)
  const send = async (): Promise<void> => {
    if (typed.kind === 'refused') return
    const body: Calibrate = { id, who: who.trim(), data: typed.data }
    const answer = await post('/api/calibrations', body)
    if (answer.kind === 'problem') return setSaid({ kind: 'problem', problem: answer.problem })
    setSaid({ kind: 'entered' })
    setText(EMPTY_CALIBRATION)
    setId(v7())
    onEntered()
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <Inputs instrument={instrument} text={text} setText={setText} />
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
          label="Zero"
          kind="number"
          required
          value={text.zero}
          onValue={set('zero')}
          hint="What it shows where there is nothing."
        />
        <Field
          label="Uncertainty of the slope"
          unit="% (1 s)"
          kind="number"
          required
          value={text.u_slope}
          onValue={set('u_slope')}
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
      <div>
        <Field
          label="Reference method"
          required
          value={text.method}
          onValue={set('method')}
          maxLength={120}
          hint="With its ε or f, the dye lot and the dilution."
        />
        <Choice
          label="Calibrated in"
          value={text.fluid}
          onValue={set('fluid')}
          options={Object.entries(FLUID)}
          hint="A membrane probe calibrated in water over-reads saline by about 5 %."
        />
        <Field
          label="Probe response time (63 %)"
          unit="s"
          kind="number"
          value={text.tau}
          onValue={set('tau')}
        />
        <Field
          label="Its uncertainty"
          unit="s (1 s)"
          kind="number"
          value={text.u_tau}
          onValue={set('u_tau')}
        />
      </div>
    </div>
  )
}
