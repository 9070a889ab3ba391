import type { Deliveries } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { useNow } from '../../store.ts'
import { ProblemNote } from '../frame/problem-note.tsx'
import { useSiteClock } from '../frame/site.ts'
import { useServerNow } from '../frame/site-time.tsx'
import { DeliveryTable } from './delivery-table.tsx'

const EVERY_MS = 3000
const SHOWN = 30

/** Who is told of alarms beyond the screens, whether they are reached, and each message with what came of it. */
export const ToldElsewhere = () => {
  const now = useNow()
  const now_ms = useServerNow(now)
  const [asked] = useAsked<Deliveries>(`/api/deliveries?limit=${SHOWN}`, Math.floor(now.mono_ms / EVERY_MS))
  return (
    <section>
      <h2>Told elsewhere</h2>
      {asked.kind === 'asking' && <p>Asking …</p>}
      {asked.kind === 'problem' && <ProblemNote problem={asked.problem} />}
      {asked.kind === 'answer' && <Told told={asked.value} now_ms={now_ms} />}
    </section>
  )
}

const Told = ({ told, now_ms }: { readonly told: Deliveries; readonly now_ms: number }) => {
  if (told.set_up === 'none')
    return (
      <p>
        Nobody: alarms are told on the screens only. To tell others by mail or webhook: README, “Being told
        elsewhere”.
      </p>
    )
  if (told.set_up === 'fault')
    return (
      <p>
        <b>Nobody, although the wiring file names somebody:</b> {told.fault}
      </p>
    )
  return (
    <>
      <Receivers told={told} now_ms={now_ms} />
      {told.deliveries.length === 0 ? (
        <p>No message yet.</p>
      ) : (
        <DeliveryTable deliveries={told.deliveries} now_ms={now_ms} />
      )}
      {told.deliveries.length === SHOWN && (
        <p>The newest {SHOWN}. The HTTP API gives out more: /api/deliveries?limit=1000.</p>
      )}
    </>
  )
}

const Receivers = ({ told, now_ms }: { readonly told: Deliveries; readonly now_ms: number }) => {
  const clock = useSiteClock()
  return (
    <table class="list">
      <thead>
        <tr>
          <th scope="col">Who</th>
          <th scope="col">By</th>
          <th scope="col">Of which alarms</th>
          <th scope="col">Reached</th>
          <th scope="col">Last message delivered</th>
        </tr>
      </thead>
      <tbody>
        {told.receivers.map((receiver) => (
          <tr key={receiver.name}>
            <th scope="row">{receiver.name}</th>
            <td data-name="By">
              {receiver.by === 'mail' ? 'mail to' : 'webhook at'} {receiver.to}
            </td>
            <td data-name="Of which alarms">
              {receiver.priorities.join(', ')} priority
              {receiver.after_min !== null && `, not acknowledged for ${receiver.after_min} min`}
            </td>
            <td data-name="Reached">
              <Reached {...receiver} next={clock.seconds} />
            </td>
            <td data-name="Last message delivered">
              {receiver.last_delivered_at === null ? 'never' : clock.near(receiver.last_delivered_at, now_ms)}
            </td>
          </tr>
        ))}
        {told.heartbeat !== null && (
          <tr>
            <th scope="row">heartbeat</th>
            <td data-name="By">webhook at {told.heartbeat.to}</td>
            <td data-name="Of which alarms">none; every {told.heartbeat.every_s} s that the program runs</td>
            <td data-name="Reached">
              {told.heartbeat.why === null ? 'no trouble known' : <b>NOT REACHED: {told.heartbeat.why}</b>}
            </td>
            <td data-name="Last message delivered">
              {told.heartbeat.last_at === null ? 'never' : clock.near(told.heartbeat.last_at, now_ms)}
            </td>
          </tr>
        )}
      </tbody>
    </table>
  )
}

type ReachedProps = Pick<Deliveries['receivers'][number], 'state' | 'why' | 'next_try_at'> & {
  readonly next: (iso: string) => string
}

/** "no trouble known" is not "reached": nothing may have been sent yet. */
const Reached = ({ state, why, next_try_at, next }: ReachedProps) => {
  if (state === 'working') return <>no trouble known</>
  return (
    <>
      <b>{state === 'not-let-in' ? 'NOT LET IN, mend the settings' : 'NOT REACHED'}:</b> {why}
      {next_try_at !== null && `; tried again at ${next(next_try_at)}`}
    </>
  )
}
