import { useEffect, useMemo, useState } from 'preact/hooks'
import { AlarmStrip } from '../parts/alarm/alarm-list.tsx'
import { ActionPanel } from '../parts/bench/action-panel.tsx'
import { BatchLine } from '../parts/bench/batch-line.tsx'
import { type BenchView, isOpen } from '../parts/bench/bench-view.ts'
import { DecisionWords } from '../parts/bench/decision-words.tsx'
import { DetailsPanel } from '../parts/bench/details-panel.tsx'
import { Drawn } from '../parts/bench/drawn.tsx'
import { EstimateNow } from '../parts/bench/estimate-now.tsx'
import { Offered } from '../parts/bench/offer.tsx'
import { OutsideNote } from '../parts/bench/outside-note.tsx'
import { PacedChart } from '../parts/bench/paced-chart.tsx'
import { PotencyFigure } from '../parts/bench/potency-figure.tsx'
import { RoomOzone } from '../parts/bench/room-ozone.tsx'
import { StepList } from '../parts/bench/step-list.tsx'
import { TimeBlock } from '../parts/bench/time-block.tsx'
import { UndoBar } from '../parts/bench/undo-bar.tsx'
import { UnsignedList } from '../parts/bench/unsigned-list.tsx'
import { useBenchView } from '../parts/bench/use-bench-view.ts'
import { useWakeLock } from '../parts/bench/use-wake-lock.ts'
import { useConnection } from '../parts/frame/site.ts'
import { EntryList } from '../parts/record/entry-list.tsx'
import { Link } from '../router.tsx'
import { useApp, useNow } from '../store.ts'

/** One bench, for a tired person two metres away: value, time, next step, alarms; the rest further down. */
export const BenchScreen = ({ bench }: { readonly bench: string }) => {
  const connection = useConnection()
  useEffect(() => connection?.watch(bench), [connection, bench])
  useWakeLock()
  const view = useBenchView(bench, useNow())
  if (view === null) return <NoBench bench={bench} />
  return (
    <article class="page bench">
      <div class="bench-head">
        <h1>{view.live.name}</h1>
        {view.live.batch !== null && <BatchLine batch={view.live.batch} unit={view.unit} />}
      </div>
      <UnsignedList bench={bench} />
      <AlarmStrip
        alarms={view.live.alarms}
        clock={view.clock}
        now_ms={view.now_ms}
        in_touch={view.in_touch}
      />
      <Now view={view} />
      <Offered view={view} />
      <ActionPanel {...view} />
      <UndoBar acting={view.acting} clock={view.clock} />
      <OutsideNote verdicts={view.live.verdicts} />
      <RoomOzone ppm={view.live.room_ozone_ppm} />
      <Below view={view} />
    </article>
  )
}

const Now = ({ view }: { readonly view: BenchView }) => {
  const { live, shown, unit, clock, now_ms } = view
  return (
    <div class="now">
      <section class="now-potency" aria-label="Dissolved ozone">
        <h2 class="margin">Dissolved ozone</h2>
        <div>
          <PotencyFigure shown={shown} live={live} unit={unit} clock={clock} now_ms={now_ms} />
          <DecisionWords live={live} shown={shown} unit={unit} />
          <EstimateNow view={view} />
        </div>
      </section>
      <section class="now-next" aria-label="Next step">
        <h2 class="margin">Next step</h2>
        <p class="next-step">
          {view.in_touch ? live.next_step.text : 'None can be given: this screen is not connected.'}
        </p>
      </section>
      <section class="now-time" aria-label="Phase and time">
        <h2 class="margin">Time</h2>
        <TimeBlock live={live} shown={shown} clock={clock} now_ms={now_ms} connected={view.in_touch} />
      </section>
    </div>
  )
}

const Below = ({ view }: { readonly view: BenchView }) => {
  const { live, clock, unit, now_ms, entries } = view
  const [opened_ms] = useState(now_ms)
  const { bench, metered } = live
  const { lag_s } = live.potency
  // the same element again: a new number renders this page, and not the chart
  const chart = useMemo(
    () => <PacedChart {...{ bench, opened_ms, clock, unit, lag_s, metered }} />,
    [bench, opened_ms, clock, unit, lag_s, metered],
  )
  return (
    <>
      {chart}
      <Drawn entries={entries} clock={clock} />
      {isOpen(live.batch) && <StepList view={view} />}
      <DetailsPanel live={live} unit={unit} clock={clock} />
      {entries.length > 0 && (
        <section>
          <h2>Last entries</h2>
          <EntryList entries={entries} clock={clock} newest={8} />
        </section>
      )}
    </>
  )
}

const NoBench = ({ bench }: { readonly bench: string }) => {
  const known = useApp((s) => s.order.length > 0)
  return (
    <article class="page">
      <h1>{bench}</h1>
      <p class="empty">{known ? 'There is no bench of this name.' : 'Waiting for the server …'}</p>
      <p>
        <Link to="/">To the benches</Link>
      </p>
    </article>
  )
}
