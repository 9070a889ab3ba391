import type { Instrument, InstrumentInDoubt, PastCheck } from '../../server/wire.ts'
import { ago, decimal, withU } from '../../server/wording/format.ts'
import { useAsked } from '../ask.ts'
import { Openable } from '../parts/form/openable.tsx'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { useSiteClock } from '../parts/frame/site.ts'
import { useServerNow } from '../parts/frame/site-time.tsx'
import { CalibrationForm } from '../parts/instrument/calibration-form.tsx'
import { CalibrationHistory, InDoubt } from '../parts/instrument/calibration-history.tsx'
import { CheckForm } from '../parts/instrument/check-form.tsx'
import { CheckList } from '../parts/instrument/check-list.tsx'
import { StepTestForm } from '../parts/instrument/step-test-form.tsx'
import { StepTests } from '../parts/instrument/step-tests.tsx'
import { setUpPath } from '../route.ts'
import { Link } from '../router.tsx'
import { useNow } from '../store.ts'

const EVERY_MS = 5000

/** Instruments, what they last sent, and which calibration is in force. */
export const InstrumentsScreen = () => {
  const now = useNow()
  const [asked, again] = useAsked<Instrument[]>('/api/instruments', Math.floor(now.mono_ms / EVERY_MS))
  return (
    <div class="page">
      <h1>Instruments</h1>
      <p class="downloads">
        <Link to={setUpPath()}>Set up a meter</Link>
      </p>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'asking' && <p class="empty">Asking …</p>}
      {asked.kind === 'answer' && asked.value.length === 0 && <p class="empty">No instrument is wired up.</p>}
      {asked.kind === 'answer' &&
        asked.value.map((instrument) => (
          <InstrumentSheet key={instrument.instrument} instrument={instrument} again={again} />
        ))}
      <Checks
        again={again}
        version={Math.floor(now.mono_ms / EVERY_MS)}
        instruments={asked.kind === 'answer' ? asked.value.map((i) => i.instrument) : []}
      />
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
      <p class="downloads">
        <Link to={setUpPath(instrument.instrument)}>Listen to it, change its wiring</Link>
      </p>
      <p>
        {calibration === null ? (
          <>
            <b>Uncalibrated: no calibration on file.</b> <ResponseTime response={response} />.
          </>
        ) : (
          <>
            Calibrated {clock.full(calibration.at)}, {calibration.method}.{' '}
            <ResponseTime response={response} />. <Due calibration={calibration} />
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
      <StepTests step_tests={instrument.step_tests} />
      <Openable title="Measure the response time of a probe (step test)">
        {() => <StepTestForm instrument={instrument} onEntered={again} />}
      </Openable>
      <Openable title="Enter a calibration">
        {() => <CalibrationForm instrument={instrument} onEntered={again} />}
      </Openable>
    </section>
  )
}

const ResponseTime = ({ response }: Pick<Instrument, 'response'>) => {
  const clock = useSiteClock()
  if (response === null) return <>Probe response time not known</>
  const by =
    response.by === 'step-test' ? `step test ${clock.full(response.at)}` : 'stated with the calibration'
  return (
    <>
      Probe response time {withU(response.tau_s, response.u_tau_s)} s, {by}
    </>
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

interface ChecksProps {
  readonly again: () => void
  readonly version: number
  readonly instruments: readonly string[]
}

const Checks = ({ again, version, instruments }: ChecksProps) => {
  const [doubts, askDoubts] = useAsked<InstrumentInDoubt[]>('/api/batches-in-doubt', version)
  const [asked, askAgain] = useAsked<PastCheck[]>('/api/instrument-checks', version)
  return (
    <section class="panel">
      <h2>Checks</h2>
      <p>
        Flowmeter, gas analyser, barometer, volume measure, room monitor, thermometer: held against a
        reference.
      </p>
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {doubts.kind === 'answer' && <InDoubt in_doubt={doubts.value} />}
      {asked.kind === 'answer' && <CheckList checks={asked.value} />}
      <Openable title="Enter a check">
        {() => (
          <CheckForm
            instruments={instruments}
            onEntered={() => {
              again()
              askAgain()
              askDoubts()
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
