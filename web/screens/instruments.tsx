import type { Instrument } from '../../server/wire.ts'
import { useAsked } from '../ask.ts'
import { ago, decimal } from '../format.ts'
import { CalibrationForm } from '../parts/calibration-form.tsx'
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
    </div>
  )
}

interface SheetProps {
  readonly instrument: Instrument
  readonly again: () => void
}

const InstrumentSheet = ({ instrument, again }: SheetProps) => {
  const { calibration } = instrument
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
            {calibration.tau_s === null
              ? 'probe response time not known'
              : `probe response time ${decimal(calibration.tau_s, 1)} s`}
          </>
        )}
      </p>
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
      <details>
        <summary>Enter a calibration</summary>
        <CalibrationForm instrument={instrument} onEntered={again} />
      </details>
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
