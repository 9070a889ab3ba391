import type { Health } from '../../../server/wire.ts'
import { duration } from '../../../server/wording/format.ts'
import { Fact } from '../form/fact.tsx'

type Forwarding = NonNullable<Health['forwarding']>

const STATE: Readonly<Record<Forwarding['state'], string>> = {
  'never-ran': 'has not run yet',
  sending: 'sending what has waited',
  'up-to-date': 'up to date',
  waiting: 'cannot send; trying again',
  'not-let-in': 'the server does not let the program in: its settings or secrets need mending',
  stopped: 'stopped',
}

interface PanelProps {
  readonly forwarding: Forwarding
  readonly title: string
  /** One, and several, of what is sent. */
  readonly of: readonly [string, string]
}

/** What is sent on to InfluxDB: how far that is, and what it refused. All of it is stored here as well. */
export const ForwardingPanel = ({ forwarding, title, of: [one, several] }: PanelProps) => {
  const counted = (count: number): string => (count === 1 ? `1 ${one}` : `${count} ${several}`)
  const { alive, state, why, waiting, oldest_waiting_s: oldest } = forwarding
  return (
    <>
      <h2>{title}</h2>
      <div class="panel">
        <dl class="facts">
          <Fact name="Place">
            {forwarding.place ?? 'not known yet'}
            {forwarding.place !== null && !forwarding.proved && (
              <b> (untested against a live server of this version)</b>
            )}
          </Fact>
          <Fact name="State">
            {alive || state === 'stopped' || state === 'never-ran' ? (
              STATE[state]
            ) : (
              <b>silent: {several} are not being sent on</b>
            )}
            {why !== null && `: ${why}`}
          </Fact>
          <Fact name="Waiting">
            {waiting === 0 ? 'none' : counted(waiting)}
            {oldest !== null && waiting > 0 && `, the oldest for ${duration(oldest)}`}
          </Fact>
          <Fact name="Refused">
            {forwarding.refused === 0 ? 'none' : <b>{counted(forwarding.refused)}, stored here only</b>}
          </Fact>
        </dl>
      </div>
    </>
  )
}
