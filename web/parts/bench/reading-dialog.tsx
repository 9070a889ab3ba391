import { useState } from 'preact/hooks'
import type { Acted } from '../../../server/wire.ts'
import { concentration, decimal } from '../../../server/wording/format.ts'
import { differ, SECOND_READING_LIMIT, type SpotResult, spotValue } from '../../spot-check.ts'
import { numberTyped, textTyped } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { Dialog } from '../form/dialog.tsx'
import { Field } from '../form/field.tsx'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import { newestSeq } from './bench-view.ts'
import type { EntryDialogProps } from './plain-dialog.tsx'

/** A reading from a test kit: as read, times the dilution, inside the kit's range, with a second one to compare. */
export const ReadingDialog = ({ view, batch, onClose }: EntryDialogProps) => {
  const [read, setRead] = useState('')
  const [again, setAgain] = useState('')
  const [dilution, setDilution] = useState('1')
  const [low, setLow] = useState('')
  const [high, setHigh] = useState('')
  const [method, setMethod] = useState('')
  const [u, setU] = useState('')
  const [who] = useWho()
  const { acting, clock, now_ms } = view
  const range = rangeTyped(low, high)
  const result = (text: string) =>
    spotValue({
      read_mg_l: numberTyped(text) ?? Number.NaN,
      dilution: numberTyped(dilution) ?? Number.NaN,
      range,
    })
  const first = result(read)
  const second = again.trim() === '' ? null : result(again)
  const how = textTyped(method)
  const u_percent = numberTyped(u)
  const sendable = first.kind === 'value' && second?.kind !== 'refused' && how !== null && who.trim() !== ''
  return (
    <Dialog title={`Reading by hand: ${view.live.name}`} onClose={onClose}>
      <div class="two-columns">
        <div>
          <Field
            label="Method"
            required
            value={method}
            onValue={setMethod}
            hint="The kit or instrument, and its lot."
          />
          <Field
            label="As the kit shows it"
            unit="mg/L"
            kind="number"
            required
            value={read}
            onValue={setRead}
          />
          <Field
            label="Dilution factor"
            kind="number"
            required
            value={dilution}
            onValue={setDilution}
            hint="Total volume divided by sample volume; 1 when undiluted."
          />
          <Field label="Second reading" unit="mg/L" kind="number" value={again} onValue={setAgain} />
        </div>
        <div>
          <Field
            label="Stated uncertainty"
            unit="% (1 s)"
            kind="number"
            value={u}
            onValue={setU}
            hint="The method’s standard uncertainty, from its papers."
          />
          <Field label="Range of the kit, from" unit="mg/L" kind="number" value={low} onValue={setLow} />
          <Field label="Range of the kit, to" unit="mg/L" kind="number" value={high} onValue={setHigh} />
        </div>
      </div>
      <p class="answer" aria-live="polite">
        {read.trim() === '' ? '' : said(first, second)}
      </p>
      <WhoField needed />
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={!sendable}
        onWhen={(when) => {
          if (first.kind !== 'value' || how === null) return
          const values = [first, second].flatMap((r) => (r?.kind === 'value' ? [r.mg_l] : []))
          onClose()
          void sendAll(values, newestSeq(batch, view), (value, expected_seq) =>
            acting.send({
              entry: {
                kind: 'reading-by-hand',
                data: {
                  quantity: 'dissolved-ozone',
                  value,
                  method: how,
                  ...(u_percent === null ? {} : { u_percent }),
                },
              },
              when,
              now_ms,
              expected_seq,
              batch: batch.id,
            }),
          )
        }}
      />
    </Dialog>
  )
}

/** One after the other; stops at the first that is refused. */
const sendAll = async (
  values: readonly number[],
  from_seq: number,
  send: (value: number, expected_seq: number) => Promise<Acted | null>,
): Promise<void> => {
  let seq = from_seq
  for (const value of values) {
    const acted = await send(value, seq)
    if (acted === null) return
    seq = acted.head.seq
  }
}

const rangeTyped = (low: string, high: string) => {
  const to = numberTyped(high)
  return to === null ? null : { low: numberTyped(low) ?? 0, high: to }
}

const said = (first: SpotResult, second: SpotResult | null): string => {
  if (first.kind === 'refused') return first.why
  if (second === null)
    return `${concentration(first.mg_l)} mg/L in the fluid. A second reading tells more than one.`
  if (second.kind === 'refused') return second.why
  const apart = differ(first.mg_l, second.mg_l)
  const both = `${concentration(first.mg_l)} and ${concentration(second.mg_l)} mg/L`
  return apart > SECOND_READING_LIMIT
    ? `${both}: they differ by ${decimal(apart * 100, 0)} %. Take another reading before going by either.`
    : `${both}: they differ by ${decimal(apart * 100, 0)} %.`
}
