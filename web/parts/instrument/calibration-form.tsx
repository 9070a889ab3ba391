import { useState } from 'preact/hooks'
import type { Instrument, LineWanted } from '../../../server/wire.ts'
import {
  type CalibrationText,
  calibrationTyped,
  EMPTY_CALIBRATION,
  withSample,
} from '../../typed/calibration-typed.ts'
import { EMPTY_POINT, type PointText } from '../../typed/point-typed.ts'
import { EntryForm } from '../form/entry-form.tsx'
import { fieldsOf } from '../form/fields-of.tsx'
import { CalibrationDetails } from './calibration-details.tsx'
import { CalibrationPoints, type FoundLine } from './calibration-points.tsx'

interface FormProps {
  readonly instrument: Instrument
  readonly onEntered: () => void
}

const TWO_POINTS = [EMPTY_POINT, EMPTY_POINT]

/** A calibration as found against a reference: true value = (shown value − zero) ÷ slope. */
export const CalibrationForm = ({ instrument, onEntered }: FormProps) => {
  const [text, setText] = useState(EMPTY_CALIBRATION)
  const [rows, setRows] = useState<readonly PointText[]>(TWO_POINTS)
  const [worked, setWorked] = useState<Worked>()
  const take = (line: FoundLine, points: LineWanted['points']): void => {
    const filled = lineText(line)
    setText({ ...text, ...filled })
    setWorked({ points, filled })
  }
  return (
    <EntryForm
      path="/api/calibrations"
      button="Enter calibration"
      typed={calibrationTyped(instrument.instrument, text, pointsOf(worked, text))}
      hint="It counts for readings from its time on; earlier ones keep theirs."
      datable
      onEntered={() => {
        setText(EMPTY_CALIBRATION)
        setRows(TWO_POINTS)
        setWorked(undefined)
        onEntered()
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
        onSample={(sample, found) => setText(withSample(text, sample, found))}
      />
      <Inputs instrument={instrument} text={text} setText={setText} />
      <CalibrationDetails text={text} setText={setText} />
    </EntryForm>
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

const NEEDED = { required: true } as const

const Inputs = ({ instrument, text, setText }: InputsProps) => {
  const { typed, number, choice } = fieldsOf(text, setText)
  const channels = instrument.channels.map((c) => [c.channel, `${c.channel}, ${c.unit}`] as const)
  return (
    <div class="two-columns">
      <div>
        {choice('Channel', 'channel', channels, NEEDED)}
        {number('Slope', 'slope', {
          ...NEEDED,
          hint: 'Shown value, zero taken off, divided by the reference value.',
        })}
        {number('Uncertainty of the slope', 'u_slope', { ...NEEDED, unit: '% (1 s)' })}
      </div>
      <div>
        {typed('Reference method', 'method', {
          ...NEEDED,
          maxLength: 120,
          hint: 'With its ε or f, the dye lot and the dilution.',
        })}
        {number('Zero', 'zero', { ...NEEDED, hint: 'What it shows where there is nothing.' })}
        {number('Uncertainty of the zero', 'u_zero', { ...NEEDED, unit: 'channel’s unit (1 s)' })}
      </div>
    </div>
  )
}
