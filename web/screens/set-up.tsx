import { useState } from 'preact/hooks'
import type { PortsFound, WiringFile, WiringWanted } from '../../server/wire.ts'
import { useAsked } from '../ask.ts'
import { ProblemNote } from '../parts/frame/problem-note.tsx'
import { MeterLine, MeterOwn } from '../parts/meter/meter-line.tsx'
import { MeterListen } from '../parts/meter/meter-listen.tsx'
import { MeterLive } from '../parts/meter/meter-live.tsx'
import { MeterMapping } from '../parts/meter/meter-mapping.tsx'
import { MeterPlace } from '../parts/meter/meter-place.tsx'
import { MeterSave } from '../parts/meter/meter-save.tsx'
import { EMPTY_DRAFT, type MeterDraft } from '../set-up/draft.ts'
import { type Change, changeOf, ofPort } from '../set-up/from-wiring.ts'
import { instrumentSettings, portSettings, wiredName } from '../set-up/settings.ts'
import { type Ear, useListening } from '../set-up/use-listening.ts'
import { useSaving } from '../set-up/use-saving.ts'
import { useTried } from '../set-up/use-tried.ts'
import { useNow } from '../store.ts'
import { numberTyped } from '../typed/typed.ts'

/** Setting up a meter: where it is, how it speaks, what arrives, what the numbers mean, save. */
export const SetUpScreen = ({ instrument }: { readonly instrument: string | null }) => {
  const [ports, portsAgain] = useAsked<PortsFound>('/api/ports')
  const [wiring, wiringAgain] = useAsked<WiringFile>('/api/wiring')
  const problem = ports.kind === 'problem' ? ports.problem : wiring.kind === 'problem' ? wiring.problem : null
  return (
    <div class="page set-up">
      <h1>{instrument === null ? 'Set up a meter' : `Change ${instrument}`}</h1>
      {problem !== null && <ProblemNote problem={problem} />}
      {problem === null && (ports.kind === 'asking' || wiring.kind === 'asking') && (
        <p class="empty">Asking …</p>
      )}
      {ports.kind === 'answer' && wiring.kind === 'answer' && (
        <Opened
          ports={ports.value}
          wiring={wiring.value}
          instrument={instrument}
          again={() => {
            portsAgain()
            wiringAgain()
          }}
        />
      )}
    </div>
  )
}

interface OpenedProps {
  readonly ports: PortsFound
  readonly wiring: WiringFile
  readonly instrument: string | null
  readonly again: () => void
}

const Opened = (props: OpenedProps) => {
  const { wiring, instrument } = props
  const change = instrument === null ? undefined : changeOf(wiring, instrument)
  if (wiring.faults.length > 0) return <FaultyFile wiring={wiring} again={props.again} />
  if (change === null) return <p>There is no instrument of this name in {wiring.file}.</p>
  return <Form {...props} change={change} />
}

const FaultyFile = ({ wiring, again }: { readonly wiring: WiringFile; readonly again: () => void }) => (
  <div class="problem" role="alert">
    <p>
      <code>{wiring.file}</code> has faults. Nothing can be saved into it before they are mended:
    </p>
    <ul>
      {wiring.faults.map((fault) => (
        <li key={fault}>{fault}</li>
      ))}
    </ul>
    <button type="button" onClick={again}>
      Read it again
    </button>
  </div>
)

const newDraft = (wiring: WiringFile): MeterDraft => ({
  ...EMPTY_DRAFT,
  id: freeName(
    'meter',
    wiring.instruments.map((i) => String(i['id'])),
  ),
  port_name: freeName('meter', Object.keys(wiring.ports)),
  bench: wiring.version === null ? 'A' : wiring.benches.length === 1 ? (wiring.benches[0]?.id ?? '') : '',
  zone: new Intl.DateTimeFormat().resolvedOptions().timeZone,
})

const freeName = (stem: string, taken: readonly string[]): string => {
  const names = [stem, ...taken.map((_, i) => `${stem}-${i + 2}`)]
  return names.find((name) => !taken.includes(name)) ?? `${stem}-${taken.length + 2}`
}

const Form = ({ ports, wiring, change, again }: OpenedProps & { readonly change: Change | undefined }) => {
  const [draft, setDraft] = useState<MeterDraft>(() => change?.draft ?? newDraft(wiring))
  const ear = useListening()
  const before = change?.before
  const set = (part: Partial<MeterDraft>) => {
    // another place is another stream: what was heard of the last one says nothing about it
    if (part.place !== undefined) ear.stop()
    const wired = part.place === undefined ? null : wiring.ports[wiredName({ place: part.place }) ?? '']
    setDraft((d) => ({ ...(wired ? ofPort(wired, d) : d), ...part }))
  }
  const settings = portSettings(draft, ports.devices, wiring, before)
  const live = useLive(ear, draft)
  const tried = useTried(settings, instrumentSettings(draft, before), live ? ear.heard.frames : NO_FRAMES)
  const wanted = wantedOf(draft, settings, wiring, before)
  const { saying, save } = useSaving(wiring, again)
  const wired = wiredName(draft)
  const form = { draft, set }
  return (
    <>
      {!ports.listening.possible && <p class="warning">Nothing can be listened to: {ports.listening.why}.</p>}
      {change === undefined && (
        <section class="panel">
          <MeterPlace {...form} found={ports} again={again} />
        </section>
      )}
      {(wired === null || before !== undefined) && draft.place !== '' && (
        <section class="panel">
          <h2>How does it speak?</h2>
          {before !== undefined && <p class="hint">A change here is tried when it is saved.</p>}
          <MeterLine
            {...form}
            serial={before === undefined ? draft.place !== 'network' : before.port['kind'] === 'serial'}
          />
        </section>
      )}
      {wired !== null && before === undefined && settings !== null && (
        <section class="panel">
          <h2>One more instrument on port {wired}</h2>
          <MeterOwn {...form} />
        </section>
      )}
      <section class="panel">
        <h2>What arrives</h2>
        <MeterListen ear={ear} draft={draft} settings={settings} />
        <MeterLive heard={ear.heard} live={live} />
      </section>
      <section class="panel">
        <h2>What the numbers mean</h2>
        {change?.fixed != null ? (
          <p>{change.fixed}</p>
        ) : (
          <MeterMapping
            {...form}
            frames={ear.heard.frames}
            tried={live ? tried : null}
            channels={wiring.channels}
          />
        )}
      </section>
      {change?.fixed == null && (
        <section class="panel">
          <h2>Save</h2>
          <MeterSave
            {...form}
            wiring={wiring}
            wanted={wanted}
            saying={saying}
            save={(what) => {
              // the program itself opens the port now
              ear.stop()
              return save(what)
            }}
            readAgain={again}
          />
        </section>
      )}
    </>
  )
}

const NO_FRAMES: Ear['heard']['frames'] = []
const LIVE_INTERVALS = 5
const LIVE_LEAST_MS = 5000

/** Is what was heard last still news? A value of before is not shown as one of now. */
const useLive = ({ listening, frame_ms }: Ear, { interval_s }: MeterDraft): boolean => {
  const now = useNow()
  const within = Math.max(LIVE_LEAST_MS, LIVE_INTERVALS * 1000 * (numberTyped(interval_s) ?? 1))
  return listening.kind === 'listening' && frame_ms !== null && now.mono_ms - frame_ms < within
}

const wantedOf = (
  draft: MeterDraft,
  settings: ReturnType<typeof portSettings>,
  wiring: WiringFile,
  before: Change['before'] | undefined,
): WiringWanted | null => {
  if (settings === null) return null
  const isFirst = wiring.version === null
  return {
    port: { name: wiredName(draft) ?? draft.port_name.trim(), settings },
    instrument: instrumentSettings(draft, before),
    replaces: before !== undefined,
    ...(isFirst
      ? {
          site: { name: draft.site_name.trim(), zone: draft.zone.trim() },
          bench: { id: draft.bench, name: draft.bench_name.trim() },
        }
      : {}),
  }
}
