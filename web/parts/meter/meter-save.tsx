import type { Instrument, PortsFound, WiringFile, WiringSaved, WiringWanted } from '../../../server/wire.ts'
import { decimal } from '../../../server/wording/format.ts'
import { useAsked } from '../../ask.ts'
import { Link } from '../../router.tsx'
import { type Saying, useFaults } from '../../set-up/use-saving.ts'
import { CHANNEL, faultWords, STATE } from '../../set-up/words.ts'
import { useApp, useNow } from '../../store.ts'
import { Choice, Field } from '../form/field.tsx'
import type { MeterForm } from './meter-form.ts'

interface SaveProps extends MeterForm {
  readonly wiring: WiringFile
  /** What would be saved; null while something is still to be chosen. */
  readonly wanted: WiringWanted | null
  readonly saying: Saying
  readonly save: (wanted: WiringWanted) => Promise<void>
  readonly readAgain: () => void
}

/** Name and bench, every fault before the button is pressed, and what saving does. */
export const MeterSave = ({ draft, set, wiring, wanted, saying, save, readAgain }: SaveProps) => {
  const faults = useFaults(wanted)
  const isNew = wanted?.replaces !== true
  const first = wiring.version === null
  if (saying.kind === 'saved' && isNew) return <Done saved={saying.saved} id={draft.id} />
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        if (wanted !== null) void save(wanted)
      }}
    >
      <div class="two-columns">
        <div>
          {isNew && (
            <Field
              label="Name of the instrument"
              required
              value={draft.id}
              onValue={(id) => set({ id })}
              maxLength={39}
              hint="It stays with every reading and calibration: it cannot be changed here later."
            />
          )}
          {isNew && !draft.place.startsWith('port:') && (
            <Field
              label="Name of the port"
              required
              value={draft.port_name}
              onValue={(port_name) => set({ port_name })}
              maxLength={39}
            />
          )}
          {!first && (
            <Choice
              label="Bench"
              required
              value={draft.bench}
              onValue={(bench) => set({ bench })}
              options={wiring.benches.map((b) => [b.id, b.name] as const)}
            />
          )}
        </div>
        {first && <Clinic draft={draft} set={set} />}
      </div>
      {wiring.demo && <DemoNote wiring={wiring} />}
      {!wiring.demo && <OpenBatchNote bench={draft.bench} />}
      <Faults wanted={wanted} faults={faults} isDemoPort={wiring.demo && draft.place.startsWith('port:')} />
      <button
        type="submit"
        class="big"
        disabled={wanted === null || faults === null || faults.length > 0 || saying.kind === 'saving'}
      >
        Save
      </button>
      <p class="hint">
        {first ? 'Makes the file' : 'Written into'} <code>{wiring.file}</code>
        {!first && '; comments and everything else in it stay as they are'}.
      </p>
      {saying.kind === 'saved' && <Done saved={saying.saved} id={draft.id} />}
      {saying.kind === 'problem' && (
        <div class="problem" role="alert">
          <strong>{saying.problem.detail}</strong> {saying.problem.fix}
          {saying.problem.status === 409 && (
            <p>
              <button type="button" onClick={readAgain}>
                Read the file again, keep what is typed here
              </button>
            </p>
          )}
        </div>
      )}
    </form>
  )
}

const Clinic = ({ draft, set }: MeterForm) => (
  <div>
    <Field
      label="Name of the clinic"
      required
      value={draft.site_name}
      onValue={(site_name) => set({ site_name })}
    />
    <Field
      label="Time zone"
      required
      value={draft.zone}
      onValue={(zone) => set({ zone })}
      hint="As Europe/Lisbon. Records and screens show this zone."
    />
    <Field
      label="Name of the bench"
      required
      value={draft.bench_name}
      onValue={(bench_name) => set({ bench_name })}
    />
  </div>
)

const DemoNote = ({ wiring }: { readonly wiring: WiringFile }) => (
  <div class="warning">
    <p>
      <b>This is the demonstration.</b> Saving {wiring.version === null ? 'makes' : 'adds to'} the wiring of
      your own clinic beside it. The demonstration goes on until the program is stopped. At the next start
      your clinic opens instead, with no batch in it: nothing invented comes along, and the demonstration does
      not come back by itself.
    </p>
  </div>
)

const OpenBatchNote = ({ bench }: { readonly bench: string }) => {
  const open = useApp((s) => s.benches.get(bench)?.value.batch ?? null)
  if (open === null) return null
  return (
    <p class="warning">
      A batch is open at this bench. If its meter is the one you change, its readings pause for some seconds.
    </p>
  )
}

interface FaultsProps {
  readonly wanted: WiringWanted | null
  readonly faults: readonly string[] | null
  readonly isDemoPort: boolean
}

const Faults = ({ wanted, faults, isDemoPort }: FaultsProps) => (
  <div aria-live="polite">
    {wanted === null && (
      <p class="hint">
        {isDemoPort
          ? 'This port is simulated, for listening only: your own meter needs another place.'
          : 'Choose where the meter is plugged in first.'}
      </p>
    )}
    {faults !== null && faults.length > 0 && (
      <div class="warning">
        <p>Before it can be saved:</p>
        <ul class="faults">
          {faults.map((fault) => (
            <li key={fault}>{faultWords(fault)}</li>
          ))}
        </ul>
      </div>
    )}
  </div>
)

const Done = ({ saved, id }: { readonly saved: WiringSaved; readonly id: string }) => (
  <div role="status">
    <p>
      <b>Saved.</b>{' '}
      {saved.previous !== null && (
        <>
          The version before is kept as <code>{saved.previous}</code>.
        </>
      )}
    </p>
    {saved.effect === 'within-seconds' ? (
      <FirstReadings id={id} />
    ) : (
      <p>Stop the program and start it again: your clinic opens.</p>
    )}
  </div>
)

/** Is it really read now? Says so only when a reading has come after saving. */
const FirstReadings = ({ id }: { readonly id: string }) => {
  const second = Math.floor(useNow().mono_ms / 1000)
  const [asked] = useAsked<Instrument[]>('/api/instruments', second)
  const [ports] = useAsked<PortsFound>('/api/ports', Math.floor(second / 3))
  const found = asked.kind === 'answer' ? asked.value.find((i) => i.instrument === id) : undefined
  const port = ports.kind === 'answer' ? ports.value.ports.find((p) => p.instruments.includes(id)) : undefined
  const came = found?.channels.filter((c) => c.last_at !== null) ?? []
  if (found === undefined || came.length === 0)
    return (
      <p>
        Waiting for its first reading. Port: {STATE[port?.state ?? ''] ?? 'not taken up yet'}
        {port?.why != null && `: ${port.why}`}
      </p>
    )
  return (
    <>
      <p>
        Readings are stored:{' '}
        {came
          .map((c) => `${CHANNEL[c.channel as keyof typeof CHANNEL]} ${decimal(c.last_value, 2)} ${c.unit}`)
          .join(', ')}
        . They are uncalibrated until a calibration is entered.
      </p>
      <p>
        <Link to="/instruments">To the instruments</Link>
      </p>
    </>
  )
}
