import type { Deliveries } from '../../../server/wire.ts'
import { useSiteClock } from '../frame/site.ts'

type Delivery = Deliveries['deliveries'][number]

/** First of all, so that a message of the past is not read as an alarm of now. */
const WHAT: Readonly<Record<Delivery['what'], string>> = {
  raised: 'Raised',
  'raised-again': 'Raised again',
  'not-acknowledged': 'Not acknowledged',
  returned: 'Over',
}

const STATE: Readonly<Record<Delivery['state'], string>> = {
  waiting: 'waits until it is due',
  delivered: 'delivered',
  refused: 'REFUSED for good',
  'gave-up': 'GIVEN UP after three days',
  'not-needed': 'not sent',
}

const FAILED: ReadonlySet<Delivery['state']> = new Set(['refused', 'gave-up'])

interface TableProps {
  readonly deliveries: readonly Delivery[]
  readonly now_ms: number
}

/** Each message to each receiver, newest first. */
export const DeliveryTable = ({ deliveries, now_ms }: TableProps) => {
  const clock = useSiteClock()
  return (
    <table class="list">
      <caption>Messages, newest first</caption>
      <thead>
        <tr>
          <th scope="col">Alarm</th>
          <th scope="col">To</th>
          <th scope="col">Due</th>
          <th scope="col">What came of it</th>
          <th scope="col">Tries</th>
        </tr>
      </thead>
      <tbody>
        {deliveries.map((delivery) => (
          <tr key={delivery.id}>
            <th scope="row">
              {delivery.simulated && 'Simulated. '}
              {isHeldBack(delivery) ? 'Only if nobody acknowledges' : WHAT[delivery.what]}
              {delivery.what === 'raised' ? '' : `, raised ${clock.near(delivery.raised_at, now_ms)}`}:{' '}
              {delivery.bench !== null && `Bench ${delivery.bench}, `}
              {delivery.text}
            </th>
            <td data-name="To">{delivery.receiver}</td>
            <td data-name="Due">{clock.near(delivery.due_at, now_ms)}</td>
            <td data-name="What came of it">
              <Outcome
                {...delivery}
                done={delivery.done_at === null ? null : clock.near(delivery.done_at, now_ms)}
              />
            </td>
            <td data-name="Tries">{delivery.tries}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

const isHeldBack = ({ what, state, tries }: Delivery): boolean =>
  what === 'not-acknowledged' && state === 'waiting' && tries === 0

type OutcomeProps = Pick<Delivery, 'state' | 'tries' | 'words'> & { readonly done: string | null }

const Outcome = ({ state, tries, words, done }: OutcomeProps) => {
  const isTrouble = FAILED.has(state) || (state === 'waiting' && tries > 0)
  const said = isTrouble && state === 'waiting' ? 'NOT DELIVERED yet' : STATE[state]
  const when = done === null || state === 'not-needed' ? '' : ` at ${done}`
  return (
    <>
      {isTrouble ? <b>{said + when}</b> : said + when}
      {words !== null && `: ${words}`}
    </>
  )
}
