import { useMemo, useRef, useState } from 'preact/hooks'
import type { Viewed } from '../../server/wire.ts'
import { NOT_A_DEVICE } from '../../server/wording/cautions.ts'
import { ago, roughly } from '../../server/wording/format.ts'
import { type SiteClock, siteClock } from '../../server/wording/site-clock.ts'
import { useAsked } from '../ask.ts'
import { elapsedMs, type Moment } from '../moment.ts'
import { SimulatedMark } from '../parts/frame/simulated-mark.tsx'
import { ViewedBench } from '../parts/viewer/viewed-bench.tsx'
import { ViewedEntries } from '../parts/viewer/viewed-entries.tsx'
import { moment, useNow } from '../store.ts'

const EVERY_MS = 2000

interface Held {
  readonly value: Viewed
  readonly heard: Moment
}

/** Everything InfluxDB knows of the benches, each value with its age. No value here is ever shown as live. */
export const ViewerScreen = () => {
  const now = useNow()
  const [asked] = useAsked<Viewed>('/api/viewed', Math.floor(now.mono_ms / EVERY_MS))
  const held = useRef<Held | null>(null)
  if (asked.kind === 'answer' && asked.value !== held.current?.value)
    held.current = { value: asked.value, heard: moment() }
  const { current } = held
  if (current === null)
    return (
      <main id="content" class="page">
        <h1>Viewer</h1>
        <p class="empty">{asked.kind === 'problem' ? asked.problem.detail : 'Asking …'}</p>
      </main>
    )
  const lost = asked.kind === 'problem' ? asked.problem.detail : null
  return <Page viewed={current.value} older_s={elapsedMs(current.heard, now) / 1000} lost={lost} />
}

interface PageProps {
  readonly viewed: Viewed
  /** Since the answer came, s: every age has grown by so much. */
  readonly older_s: number
  /** Why there is no newer answer. */
  readonly lost: string | null
}

const Page = ({ viewed, older_s, lost }: PageProps) => {
  const clock = useMemo(() => siteClock(viewed.site.zone), [viewed.site.zone])
  return (
    <>
      <header class="top">
        <p class="site">
          <b>Spargewatch</b> <span>{viewed.site.name}: viewer</span>
        </p>
      </header>
      {viewed.site.simulated && <SimulatedMark what="numbers are not from a meter." />}
      <main id="content" class="page viewer">
        <Delay viewed={viewed} older_s={older_s} lost={lost} />
        <h1>Benches, delayed</h1>
        {viewed.benches.map((bench) => (
          <ViewedBench
            key={bench.bench}
            bench={bench}
            site_simulated={viewed.site.simulated}
            older_s={older_s}
            at_ms={Date.parse(viewed.at)}
            delivered={viewed.delivered}
            clock={clock}
          />
        ))}
        {viewed.record_mirrored && <Record delivered={viewed.delivered} clock={clock} />}
      </main>
      <footer class="foot">
        <p>{NOT_A_DEVICE}</p>
      </footer>
    </>
  )
}

/** Asked for only when somebody wants to see it. */
const Record = ({ delivered, clock }: { readonly delivered: number; readonly clock: SiteClock }) => {
  const [open, setOpen] = useState(false)
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Record, newest entries (a copy; the record itself is at the benches)</summary>
      {open && <ViewedEntries version={delivered} clock={clock} />}
    </details>
  )
}

const Delay = ({ viewed, older_s, lost }: PageProps) => {
  const { delayed_s, clock_behind_s: behind_s, trouble, place, proved } = viewed
  const why = lost ?? trouble
  return (
    <section class="warning viewer-delay">
      <p>
        <strong>
          {delayed_s === null
            ? 'Not live: no reading has come from there yet.'
            : `Not live: delayed by ${roughly(delayed_s + older_s)}.`}
        </strong>{' '}
        Do not draw up by these numbers; go by the screen at the bench. Nothing can be entered here.
      </p>
      {behind_s !== null && (
        <p role="alert">
          <b>This machine’s clock is at least {roughly(behind_s)} behind the one at the benches:</b> the ages
          shown are too small. Set it right.
        </p>
      )}
      {why !== null && (
        <p role="alert">
          <b>Nothing new can be read:</b> {why} (last answer {ago(older_s)})
        </p>
      )}
      <p class="hint">
        From {place}
        {!proved && <b> (untested against a live server of this version)</b>}. Values are as the meters sent
        them, not calibrated.
      </p>
    </section>
  )
}
