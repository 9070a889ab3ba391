import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { Instrument, PastCheck } from '../../server/wire.ts'
import { useAsked } from '../ask.ts'
import { ago, decimal } from '../format.ts'
import { CalibrationForm } from '../parts/calibration-form.tsx'
import { CalibrationHistory, InDoubt } from '../parts/calibration-history.tsx'
import { CheckForm } from '../parts/check-form.tsx'
import { CheckList } from '../parts/check-list.tsx'
import { ProblemNote } from '../parts/problem-note.tsx'
import { useSiteClock } from '../parts/site.ts'
import { useServerNow } from '../parts/site-time.tsx'
import { useNow } from '../store.ts'

const EVERY_MS = 5000

/** Instruments, what they last sent, and which calibration is in force. */
export const InstrumentsScreen = () => {
  const now = useNow()
  const [asked, again] = useAsked<Instrument[]>('/api/instruments', Math.floor(now.mono_ms / EVERY_MS))
  return (
    <div class="page">
      <h1>Instruments</h1>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && asked.value.length === 0 && <p class="empty">No instrument is wired up.</p>}
      {asked.kind === 'answer' &&
        asked.value.map((instrument) => (
          <InstrumentSheet key={instrument.instrument} instrument={instrument} again={again} />
        ))}
      <Checks again={again} version={Math.floor(now.mono_ms / EVERY_MS)} />
    </div>
  )
}

interface SheetProps {
  readonly instrument: Instrument
  readonly again: () => void
}

const InstrumentSheet = ({ instrument, again }: SheetProps) => {
  const { calibration, response } = instrument
  const clock = useSiteClock()
  return (
    <section class="panel">
      <h2>{instrument.instrument}</h2>
      <p>
        Bench {instrument.bench}, port {instrument.port}
      </p>
      <p>
        {calibration === null ? (
          <b>Uncalibrated: no calibration on file.</b>
        ) : (
          <>
            Calibrated {clock.full(calibration.at)}, {calibration.method};{' '}
            {response === null
              ? 'probe response time not known'
              : `probe response time ${decimal(response.tau_s, 1)} s`}
            . <Due calibration={calibration} />
          </>
        )}
      </p>
      <InDoubt in_doubt={instrument.in_doubt} />
      <table class="list">
        <caption class="hint">Last values as the instrument sent them, uncalibrated.</caption>
        <thead>
          <tr>
            <th scope="col">Channel</th>
            <th scope="col">Last value</th>
            <th scope="col">When</th>
          </tr>
        </thead>
        <tbody>
          {instrument.channels.map((channel) => (
            <tr key={channel.channel}>
              <th scope="row">{channel.channel}</th>
              <td data-name="Last value">
                {decimal(channel.last_value, 2)} {channel.unit}
              </td>
              <td data-name="When">{channel.last_at === null ? 'never' : <When at={channel.last_at} />}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <CalibrationHistory history={instrument.history} />
      <Openable title="Enter a calibration">
        {() => <CalibrationForm instrument={instrument} onEntered={again} />}
      </Openable>
    </section>
  )
}

const Due = ({ calibration }: { readonly calibration: NonNullable<Instrument['calibration']> }) => {
  const clock = useSiteClock()
  if (calibration.due_at === null) return <>No due date.</>
  return calibration.overdue ? (
    <b>Overdue since {clock.full(calibration.due_at)}.</b>
  ) : (
    <>Due {clock.full(calibration.due_at)}.</>
  )
}

interface OpenableProps {
  readonly title: string
  readonly children: () => ComponentChildren
}

/** A form that is there only while it is open: it holds what was typed until it is closed. */
const Openable = ({ title, children }: OpenableProps) => {
  const [open, setOpen] = useState(false)
  return (
    <details open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{title}</summary>
      {open && children()}
    </details>
  )
}

interface ChecksProps {
  readonly again: () => void
  readonly version: number
}

const Checks = ({ again, version }: ChecksProps) => {
  const [asked, askAgain] = useAsked<PastCheck[]>('/api/instrument-checks', version)
  return (
    <section class="panel">
      <h2>Checks</h2>
      <p>
        Flowmeter, gas analyser, barometer, volume measure, room monitor, thermometer: held against a
        reference.
      </p>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'answer' && <CheckList checks={asked.value} />}
      <Openable title="Enter a check">
        {() => (
          <CheckForm
            onEntered={() => {
              again()
              askAgain()
            }}
          />
        )}
      </Openable>
    </section>
  )
}

const When = ({ at }: { readonly at: string }) => {
  const clock = useSiteClock()
  const now_ms = useServerNow(useNow())
  return (
    <>
      {clock.near(at, now_ms)}, {ago((now_ms - Date.parse(at)) / 1000)}
    </>
  )
}
